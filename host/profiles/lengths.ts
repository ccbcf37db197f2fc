// The lengths of tests that follow from a profile and a rated duration.
import type { FullLength, RuleProfile } from './rule';

/** Longest brief test a profile permits on a luminaire, s; the controller has the same quarter compiled in. */
export function briefMostSec(profile: RuleProfile, ratedSec: number): number {
  return ratedSec / profile.brief.partOfRated.value;
}

/** What a length rule asks of a luminaire's full test at least, s. */
export function fullLeastSec(length: FullLength, ratedSec: number): number {
  if (length.rule === 'rated') return ratedSec;
  if (length.rule === 'minutes') return length.minutes * 60;
  return (ratedSec * length.of[0]) / length.of[1];
}

/**
 * True when a luminaire can never show what the profile asks, whatever its test says: the controller
 * discharges for the rated duration and no longer.
 */
export function isRatedTooShort(profile: RuleProfile, ratedSec: number): boolean {
  return fullLeastSec(profile.fullLength.least.value, ratedSec) > ratedSec;
}

/** Length of the first discharge of a new system, s, up to whole minutes; undefined without such a rule. */
export function commissioningSec(profile: RuleProfile): number | undefined {
  const { commissioning } = profile;
  if (!commissioning) return undefined;
  return Math.ceil(commissioning.leastMinutes.value * commissioning.factor.value) * 60;
}
