// The price of a test in a night: exposure first, then preferences.
import { TestKind } from '../../../firmware/contract/codes';
import { darkShare } from '../../site/sun';
import { chooseSlot } from './chooseSlot';
import { type CircuitWork, isFullWhenDoorsOpen, lengthsOf, type Placing } from './circuitWork';

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

type Priced = Pick<CircuitWork, 'circuit' | 'burden'>;

/** The prices of nights while they are empty. */
export class Prices {
  /**
   * Cost that every circuit's test of a kind and length shares, preferences only; Infinity where the night is
   * too short or the batteries would be late.
   */
  private readonly common = new Map<string, Float64Array>();

  /** See `common`. */
  commonOf(placing: Placing, work: Priced, kind: TestKind): Float64Array {
    const lengths = lengthsOf(work.circuit, kind, placing.profile);
    const { testSec, needSec } = lengths;
    const key = `${kind} ${testSec}`;
    const known = this.common.get(key);
    if (known) return known;
    const isLong = kind !== TestKind.Brief;
    const noFollowUp = isLong ? WISH.noFollowUp.long : WISH.noFollowUp.brief;
    const made = Float64Array.from(placing.nights, (night, place) => {
      const { at } = placing.starts.in(place, work.burden, lengths);
      if (!at.some((start) => isFullWhenDoorsOpen(placing, kind, { start, end: start + needSec })))
        return Number.POSITIVE_INFINITY;
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

/**
 * Most exposure that a test on top of the rule's own may cost, hours (our choice, no source). A function test: someone
 * looks in for half an hour where half of the luminaires are not ready, about what a second chance is worth to the
 * planner. A duration test finds what no other does: a day on which people are there while all of them recharge.
 */
const MOST_SEEN = { brief: 0.25, long: 12 };
/** What preferences weigh in the price of such a test, by hour they are worth (our choice, no source). */
const WISHES = 100;

/**
 * Extra price of a test on top of the rule's own, as a share of its price; Infinity where it would meet too many
 * people. One that meets some comes more rarely for each hour (docs/planning.md).
 * @param perHour of `FurtherRules`
 */
export function furtherPrice(kind: TestKind, wishHours: number, hours: number, perHour: number): number {
  const most = kind === TestKind.Brief ? MOST_SEEN.brief : MOST_SEEN.long;
  return hours > most + 1e-9 ? Number.POSITIVE_INFINITY : WISHES * wishHours + perHour * hours;
}

/** `furtherPrice` of own nights as they stand; Infinity also where nothing more fits. */
export function furtherPrices(
  placing: Placing,
  work: CircuitWork,
  kind: TestKind,
  perHour: number,
): Float64Array {
  const lengths = lengthsOf(work.circuit, kind, placing.profile);
  const common = placing.prices.commonOf(placing, work, kind);
  return Float64Array.from(work.own, (place) => {
    const least = furtherPrice(
      kind,
      common[place],
      placing.starts.least(place, work.burden, lengths),
      perHour,
    );
    const choice = least < Number.POSITIVE_INFINITY && chooseSlot(placing, work, kind, place);
    if (!choice) return Number.POSITIVE_INFINITY;
    const { tests, longs } = placing.calendar.load(placing.nights[place]);
    const others = kind === TestKind.Brief ? WISH.otherTest * tests : WISH.otherLong * longs;
    return furtherPrice(kind, common[place] + others, choice.hours, perHour);
  });
}

/** The price of a test in a night beside those that are on it already. */
export function priceOn(
  placing: Placing,
  kind: TestKind,
  place: number,
  common: Float64Array,
  hours: number,
): number {
  const { tests, longs } = placing.calendar.load(placing.nights[place]);
  return (
    common[place] + (hours + (kind === TestKind.Brief ? WISH.otherTest * tests : WISH.otherLong * longs))
  );
}
