// The price of a test in a night: exposure first, then preferences.
import { TestKind } from '../../../firmware/contract/codes';
import { darkShare } from '../../site/sun';
import type { NightCosts } from '../cost/nightCosts';
import { type CircuitWork, fitsNight, isFullWhenDoorsOpen, lengthsOf, type Placing } from './circuitWork';

/** Preferences, in hours of exposure: too small ever to outweigh people (our choice, no source). */
const WISH = {
  /** Darkness during the whole span after a full test for which the profile prefers daylight. */
  dark: 0.001,
  /** Nobody can follow up on the next day: a long test's results need that more. */
  noFollowUp: { brief: 0.0002, long: 0.0006 },
  /** Each other test, and each other long test, on that night. */
  otherTest: 0.00005,
  otherLong: 0.0003,
};

/** The prices of all nights while they are empty; calculated once for circuits that cost the same. */
export class Prices {
  private readonly known = new Map<string, Float64Array>();
  /**
   * Cost that every circuit's test of a kind and length shares, preferences only; Infinity where batteries
   * would be late.
   */
  private readonly common = new Map<string, Float64Array>();

  constructor(private readonly costs: NightCosts) {}

  /** Hours by index of the night; Infinity where the night is too short or the batteries would be late. */
  of(placing: Placing, work: Pick<CircuitWork, 'circuit' | 'burden'>, kind: TestKind): Float64Array {
    const lengths = lengthsOf(work.circuit, kind, placing.profile);
    const key = `${kind} ${lengths.testSec} ${work.burden.key}`;
    const known = this.known.get(key);
    if (known) return known;
    const common = this.commonOf(placing, kind, lengths.testSec);
    const hours = this.costs.of(work.burden, lengths, 'first');
    for (let i = 0; i < hours.length; i++) {
      const { start, end } = placing.nights[i];
      hours[i] = end - start < lengths.needSec ? Number.POSITIVE_INFINITY : hours[i] + common[i];
    }
    this.known.set(key, hours);
    return hours;
  }

  private commonOf(placing: Placing, kind: TestKind, testSec: number): Float64Array {
    const key = `${kind} ${testSec}`;
    const known = this.common.get(key);
    if (known) return known;
    const isLong = kind !== TestKind.Brief;
    const noFollowUp = isLong ? WISH.noFollowUp.long : WISH.noFollowUp.brief;
    const made = Float64Array.from(placing.nights, (night) => {
      if (!isFullWhenDoorsOpen(placing, kind, night)) return Number.POSITIVE_INFINITY;
      const dark = isLong ? WISH.dark * darkAfter(placing, night.start + testSec) : 0;
      return (night.followUp ? 0 : noFollowUp) + dark;
    });
    this.common.set(key, made);
    return made;
  }
}

/** How dark it is, 0 to 1, while the batteries hold least after a long test; 0 where no location is known. */
function darkAfter({ location, profile }: Placing, endUtcSec: number): number {
  const wishedSec = profile.full.daylightAfterSec.value;
  return location ? darkShare(location, endUtcSec, endUtcSec + wishedSec) : 0;
}

/** The prices of a circuit's own nights, taken from those of all nights. */
export function pick(prices: Float64Array, own: Int32Array): Float64Array {
  const picked = new Float64Array(own.length);
  for (let i = 0; i < own.length; i++) picked[i] = prices[own[i]];
  return picked;
}

/** The prices of own nights as they stand: with what is already on them, Infinity where nothing more fits. */
export function pricesNow(placing: Placing, work: CircuitWork, kind: TestKind): Float64Array {
  const prices = pick(placing.prices.of(placing, work, kind), work.own);
  for (let i = 0; i < prices.length; i++) {
    if (prices[i] === Number.POSITIVE_INFINITY) continue;
    if (!fitsNight(placing, work, kind, work.own[i])) prices[i] = Number.POSITIVE_INFINITY;
    else {
      const { tests, longs } = placing.calendar.load(placing.nights[work.own[i]]);
      prices[i] += kind === TestKind.Brief ? WISH.otherTest * tests : WISH.otherLong * longs;
    }
  }
  return prices;
}
