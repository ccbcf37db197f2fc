// From a luminaire's long tests to the lives of its batteries, as far as they are known.
import { Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import type { Luminaire } from '../site/model';
import type { Life } from './lives';
import type { Seen } from './seen';

export const YEAR_SEC = 365.25 * 86400;
/** Below this share of the rated duration a battery was not charged or has a shorted cell: not age (common practice). */
const NOT_AGE = 0.1;
/** A battery fitted this long before the log book begins counts as watched from new, years. */
const WATCHED_FROM_NEW = 0.25;

/** What is known of the battery in a luminaire now. */
export type Present =
  /** It lasted its rated duration at this age, years. */
  | { state: 'lasts'; lastedAt: number; passedAt: number }
  | { state: 'failed'; at: number; litSec: number }
  /** It has passed no duration test yet, and failed none from age. */
  | { state: 'untested' }
  /** It failed, and later passed: it was probably changed, on a date nobody has written down. */
  | { state: 'undated' };

export interface Batteries {
  lives: Life[];
  present: Present;
  /** UTC second its present battery was fitted. */
  fitted: number;
  /** UTC seconds at which batteries failed from age, of known date or not. */
  failedAt: number[];
  /** How many of those had no known date of fitting, so that their age is not known. */
  undated: number;
}

/** UTC second at which a date begins; a battery's age needs no more. */
function secondOf(date: string): number {
  return Date.parse(date) / 1000;
}

function isFull({ kind }: Seen): boolean {
  return kind === TestKind.Full || kind === TestKind.Commissioning;
}

/** It lasted its rated duration. */
function lasted(seen: Seen): boolean {
  return isFull(seen) && seen.verdict === Verdict.Pass;
}

/** It went out before, and not at once: in a limited test even earlier than it had to last. */
function fellShort(seen: Seen, ratedSec: number): boolean {
  const isEarly = seen.verdict === Verdict.Fail && seen.reason === Reason.EndedEarly;
  return isEarly && seen.litSec >= NOT_AGE * ratedSec && seen.litSec < ratedSec;
}

interface Told {
  life: Life | undefined;
  present: Present;
}

/**
 * What the tests of one battery tell.
 * @param fromNew it has been watched since it was fitted
 */
function tell(tests: readonly Seen[], ratedSec: number, fitted: number, fromNew: boolean): Told {
  let life: Life | undefined = fromNew ? { lower: 0, upper: Number.POSITIVE_INFINITY, entry: 0 } : undefined;
  let present: Present = { state: 'untested' };
  for (const seen of tests) {
    const age = (seen.at - fitted) / YEAR_SEC;
    if (fellShort(seen, ratedSec)) {
      if (present.state === 'failed') continue;
      if (life) life = { ...life, upper: age };
      present = { state: 'failed', at: seen.at, litSec: seen.litSec };
    } else if (lasted(seen)) {
      if (present.state === 'failed') return { life, present: { state: 'undated' } };
      life = life ? { ...life, lower: age } : { lower: age, upper: Number.POSITIVE_INFINITY, entry: age };
      present = { state: 'lasts', lastedAt: age, passedAt: seen.at };
    }
  }
  return { life, present };
}

/**
 * The batteries a luminaire has had.
 * @param seen its long tests, oldest first
 * @param since UTC second at which the log book begins
 */
export function batteriesOf(luminaire: Luminaire, seen: readonly Seen[], since: number): Batteries {
  const { ratedSec, batteryFitted, batteriesBefore = [] } = luminaire;
  const dates = [...batteriesBefore, batteryFitted].map(secondOf);
  const failures = seen.filter((one) => fellShort(one, ratedSec));
  const told = dates.map((fitted, i) => {
    const until = dates[i + 1] ?? Number.POSITIVE_INFINITY;
    const tests = seen.filter(({ at }) => at >= fitted && at < until);
    return tell(tests, ratedSec, fitted, fitted >= since - WATCHED_FROM_NEW * YEAR_SEC);
  });
  return {
    lives: told.flatMap(({ life }) => (life && life.upper > life.lower ? [life] : [])),
    present: told[told.length - 1].present,
    fitted: dates[dates.length - 1],
    failedAt: failures.map(({ at }) => at),
    undated: failures.filter(({ at }) => at < dates[0]).length,
  };
}
