// Exposure: the hours in which people are in an area while luminaires that serve it are discharging or
// recharging, times the share of its luminaires affected. For a test it is the exposure of its first attempt.
import type { Area, Site } from '../../site/model';
import { useOf } from '../../site/waysOut';
import { DAY_SEC } from '../nights/nights';
import { begunBy, type Opened, presentSpans } from './occupied';

/** Seconds with people present up to any instant, found by one search. */
export class Presence {
  private readonly from: Float64Array;
  private readonly to: Float64Array;
  /** Total seconds of all spans before each. */
  private readonly before: Float64Array;
  /** By days after the first span begins, how many have begun. */
  private readonly begunByDay: Int32Array;

  constructor(spans: Opened[]) {
    this.from = Float64Array.from(spans, (span) => span.from);
    this.to = Float64Array.from(spans, (span) => span.to);
    this.before = new Float64Array(spans.length);
    for (let i = 1; i < spans.length; i++)
      this.before[i] = this.before[i - 1] + this.to[i - 1] - this.from[i - 1];
    const days =
      spans.length > 0 ? 1 + Math.floor((this.from[spans.length - 1] - this.from[0]) / DAY_SEC) : 0;
    this.begunByDay = Int32Array.from({ length: days }, (_, day) =>
      begunBy(this.from, this.from[0] + day * DAY_SEC),
    );
  }

  /** Seconds with people present between two UTC seconds. */
  within(from: number, to: number): number {
    return this.until(to) - this.until(from);
  }

  /** UTC second from which people are present, at or after another; Infinity when they do not come again. */
  next(utcSec: number): number {
    const begun = this.begunBy(utcSec);
    if (begun > 0 && this.to[begun - 1] > utcSec) return utcSec;
    return begun < this.from.length ? this.from[begun] : Number.POSITIVE_INFINITY;
  }

  /** The instants between two UTC seconds at which people come or go. */
  edges(from: number, to: number): number[] {
    const out: number[] = [];
    for (let i = Math.max(0, this.begunBy(from) - 1); i < this.from.length && this.from[i] < to; i++)
      out.push(this.from[i], this.to[i]);
    return out.filter((edge) => edge > from && edge < to);
  }

  /** How many spans begin at or before a second: those by the start of its day, then one by one. */
  private begunBy(utcSec: number): number {
    const { from, begunByDay } = this;
    if (from.length === 0 || utcSec < from[0]) return 0;
    const day = Math.min(begunByDay.length - 1, Math.floor((utcSec - from[0]) / DAY_SEC));
    let begun = begunByDay[day];
    while (begun < from.length && from[begun] <= utcSec) begun++;
    return begun;
  }

  private until(utcSec: number): number {
    const begun = this.begunBy(utcSec);
    if (begun === 0) return 0;
    return this.before[begun - 1] + Math.min(utcSec, this.to[begun - 1]) - this.from[begun - 1];
  }
}

/** What a circuit's tests cost: the shares of the areas it lights, added up by pattern of presence. */
export interface Burden {
  /** Equal for circuits whose tests cost nearly the same. */
  rough: string;
  /** Equal for circuits whose areas are used alike, whatever their shares. */
  patterns: string;
  parts: { presence: Presence; share: number }[];
  /** The largest share of any area's luminaires, 0 to 1. */
  largest: number;
}

const sharesKnown = new WeakMap<Site, Map<string, Map<string, number>>>();

/** The share of an area's luminaires on each circuit, by area and circuit id. */
export function sharesOf(site: Site): Map<string, Map<string, number>> {
  let shares = sharesKnown.get(site);
  if (!shares) {
    shares = countShares(site);
    sharesKnown.set(site, shares);
  }
  return shares;
}

function countShares(site: Site): Map<string, Map<string, number>> {
  const counts = new Map(site.areas.map(({ id }) => [id, new Map<string, number>()]));
  const all = new Map<string, number>();
  for (const circuit of site.circuits) {
    const own = new Map<string, number>();
    for (const { serves } of circuit.luminaires)
      for (const area of serves) own.set(area, (own.get(area) ?? 0) + 1);
    for (const [area, count] of own) {
      counts.get(area)?.set(circuit.id, count);
      all.set(area, (all.get(area) ?? 0) + count);
    }
  }
  for (const [area, here] of counts) for (const [id, count] of here) here.set(id, count / all.get(area)!);
  return counts;
}

/** What was calculated last for a site. */
const exposuresKnown = new WeakMap<Site, Exposure>();

/** The exposure of tests on a site between two UTC seconds; spans of equal patterns are calculated once. */
export class Exposure {
  private readonly burdens = new Map<string, Burden>();
  /** Number of each pattern, and presence by number. */
  private readonly patterns = new Map<string, number>();
  private readonly presences: Presence[] = [];
  private readonly patternByArea = new Map<string, number>();

  constructor(
    private readonly site: Site,
    private readonly from: number,
    private readonly until: number,
  ) {
    const weights = new Map(site.circuits.map(({ id }) => [id, new Map<number, number>()]));
    const largest = new Map(site.circuits.map(({ id }) => [id, 0]));
    const shares = sharesOf(site);
    for (const area of site.areas) {
      const pattern = this.patternOf(area);
      this.patternByArea.set(area.id, pattern);
      for (const [circuit, share] of shares.get(area.id)!) {
        const own = weights.get(circuit)!;
        own.set(pattern, (own.get(pattern) ?? 0) + share);
        largest.set(circuit, Math.max(largest.get(circuit)!, share));
      }
    }
    for (const [circuit, own] of weights)
      this.burdens.set(circuit, this.burdenOf(own, largest.get(circuit)!));
  }

  /** The exposure of tests on a site between two UTC seconds; that calculated last if it reaches as far. */
  static of(site: Site, from: number, until: number): Exposure {
    const known = exposuresKnown.get(site);
    if (known && known.from <= from && until <= known.until) return known;
    const made = new Exposure(site, from, until);
    exposuresKnown.set(site, made);
    return made;
  }

  /** What a circuit's tests cost. */
  of(circuit: string): Burden {
    return this.burdens.get(circuit)!;
  }

  /** When people are in an area. */
  presenceIn(area: string): Presence {
    return this.presences[this.patternByArea.get(area)!];
  }

  /** Hours of exposure of a test that begins, and has recharged, at these UTC seconds. */
  hours(circuit: string, start: number, recharged: number): number {
    return hoursOf(this.of(circuit), start, recharged);
  }

  private burdenOf(weights: Map<number, number>, largest: number): Burden {
    const parts = [...weights].sort(([a], [b]) => a - b);
    return {
      rough: parts.map(([pattern, share]) => `${pattern} ${Math.ceil(share * 8)}`).join(';'),
      patterns: parts.map(([pattern]) => pattern).join(';'),
      parts: parts.map(([pattern, share]) => ({ presence: this.presences[pattern], share })),
      largest,
    };
  }

  /** Number of an area's pattern; areas with equal hours share one. */
  private patternOf(area: Area): number {
    const use = useOf(area, this.site);
    const text = use.always ? 'always' : JSON.stringify(use.occupied);
    const known = this.patterns.get(text);
    if (known !== undefined) return known;
    const { site, from, until } = this;
    const spans = presentSpans(site, use, from, until);
    this.patterns.set(text, this.presences.push(new Presence(spans)) - 1);
    return this.presences.length - 1;
  }
}

/** Hours of exposure of a test that begins, and has recharged, at these UTC seconds. */
export function hoursOf(burden: Burden, start: number, recharged: number): number {
  let sec = 0;
  for (const { presence, share } of burden.parts) sec += share * presence.within(start, recharged);
  return sec / 3600;
}

/** Hours of exposure of each test; quickest where they lie circuit by circuit. */
export function hoursOfAll(
  exposure: Exposure,
  tests: readonly { circuit: string; start: number; recharged: number }[],
): Float64Array {
  const hours = new Float64Array(tests.length);
  let burden: Burden | undefined;
  for (let i = 0; i < tests.length; i++) {
    const { circuit, start, recharged } = tests[i];
    if (!burden || circuit !== tests[i - 1].circuit) burden = exposure.of(circuit);
    hours[i] = hoursOf(burden, start, recharged);
  }
  return hours;
}
