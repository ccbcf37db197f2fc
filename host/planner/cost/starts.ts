// The starts worth looking at in a night. Between two instants at which people come or go, at the start or at
// the end of the recharge, the cost of a test is linear in its start; so the cheapest free start is one of
// these, or the free one nearest to one of them.
import type { Night } from '../nights/nights';
import { type Burden, hoursOf, type Presence } from './exposure';

/** How long a test of a kind takes, needs in its slot, and recharges, s. */
export interface Lengths {
  testSec: number;
  needSec: number;
  rechargeSec: number;
}

/** Starts in order of time, and by part of the burden the seconds with people present. */
export interface NightStarts {
  at: Float64Array;
  sec: Float64Array[];
  /** Index of the first start that is the cheapest whatever the shares of the parts; -1 where they decide. */
  best: number;
}

const NONE: NightStarts = { at: new Float64Array(0), sec: [], best: -1 };

function fewestOf(seconds: Float64Array): number {
  let fewest = Number.POSITIVE_INFINITY;
  for (let k = 0; k < seconds.length; k++) fewest = Math.min(fewest, seconds[k]);
  return fewest;
}

/** The first start at which every part of the burden has its fewest seconds; -1 where there is none. */
function bestForAll(count: number, sec: Float64Array[]): number {
  const fewest = sec.map(fewestOf);
  for (let k = 0; k < count; k++) if (sec.every((part, p) => part[k] === fewest[p])) return k;
  return -1;
}

/** By index of a night its starts, and see `Starts.fewest`. */
interface Table {
  nights: NightStarts[];
  fewest?: Float64Array[];
}

/** Starts of tests in each permitted night, calculated once for circuits whose areas are used alike. */
export class Starts {
  private readonly known = new Map<string, Table>();
  /** What was asked for last: most questions are about one circuit's next night. */
  private last?: { burden: Burden; testSec: number; rechargeSec: number; table: Table };

  constructor(
    private readonly nights: Night[],
    /** When the building is open, if the batteries must then be full. */
    private readonly open?: Presence,
  ) {}

  /** The starts in a night; none if it is too short. */
  in(place: number, burden: Burden, lengths: Lengths): NightStarts {
    const { nights } = this.tableOf(burden, lengths);
    nights[place] ??= this.make(this.nights[place], burden, lengths);
    return nights[place];
  }

  private tableOf(burden: Burden, { testSec, needSec, rechargeSec }: Lengths): Table {
    const { last } = this;
    if (last?.burden === burden && last.testSec === testSec && last.rechargeSec === rechargeSec)
      return last.table;
    const key = `${testSec} ${needSec} ${rechargeSec} ${burden.patterns}`;
    let table = this.known.get(key);
    if (!table) {
      table = { nights: [] };
      this.known.set(key, table);
    }
    this.last = { burden, testSec, rechargeSec, table };
    return table;
  }

  /** Fewest hours of any start in a night; Infinity if it is too short. */
  least(place: number, burden: Burden, lengths: Lengths): number {
    const { at, sec, best } = this.in(place, burden, lengths);
    if (best >= 0) return secondsOf(burden, sec, best) / 3600;
    let least = Number.POSITIVE_INFINITY;
    for (let k = 0; k < at.length; k++) least = Math.min(least, secondsOf(burden, sec, k));
    return least / 3600;
  }

  /**
   * By part of the burden and index of a night, the fewest seconds of any start with people present; Infinity where
   * the night is too short. Together no start costs less.
   */
  fewest(burden: Burden, lengths: Lengths): Float64Array[] {
    const table = this.tableOf(burden, lengths);
    table.fewest ??= burden.parts.map((_, p) =>
      Float64Array.from(this.nights, (_night, place) =>
        this.in(place, burden, lengths).sec.length > 0
          ? fewestOf(this.in(place, burden, lengths).sec[p])
          : Number.POSITIVE_INFINITY,
      ),
    );
    return table.fewest;
  }

  /** Fewest hours of a start between two UTC seconds of a night; Infinity where there is none. */
  leastBetween(place: number, burden: Burden, lengths: Lengths, from: number, to: number): number {
    const night = this.nights[place];
    const [first, last] = [Math.max(from, night.start), Math.min(to, night.end - lengths.needSec)];
    if (first > last) return Number.POSITIVE_INFINITY;
    const { at, sec } = this.in(place, burden, lengths);
    let least = Math.min(hoursFrom(burden, first, lengths), hoursFrom(burden, last, lengths));
    for (let k = 0; k < at.length; k++)
      if (at[k] > first && at[k] < last) least = Math.min(least, secondsOf(burden, sec, k) / 3600);
    return least;
  }

  private make(night: Night, { parts }: Burden, { testSec, needSec, rechargeSec }: Lengths): NightStarts {
    const latest = night.end - needSec;
    if (latest < night.start) return NONE;
    const span = testSec + rechargeSec;
    const found = new Set([night.start, latest]);
    const add = (presence: Presence, reach: number) => {
      for (const edge of presence.edges(night.start, latest)) found.add(edge);
      for (const edge of presence.edges(night.start + reach, latest + reach)) found.add(edge - reach);
    };
    for (const { presence } of parts) add(presence, span);
    if (this.open) add(this.open, needSec + rechargeSec);
    const at = Float64Array.from([...found].sort((a, b) => a - b));
    const sec = parts.map(({ presence }) => at.map((start) => presence.within(start, start + span)));
    return { at, sec, best: bestForAll(at.length, sec) };
  }
}

/** Seconds of exposure of the start with an index. */
export function secondsOf(burden: Burden, sec: Float64Array[], k: number): number {
  let sum = 0;
  for (let p = 0; p < sec.length; p++) sum += burden.parts[p].share * sec[p][k];
  return sum;
}

/** Hours of exposure of a test that begins at a UTC second. */
export function hoursFrom(burden: Burden, start: number, { testSec, rechargeSec }: Lengths): number {
  return hoursOf(burden, start, start + testSec + rechargeSec);
}
