// Test lengths that follow from a profile and a rated duration.
import type { FullLength, RuleProfile } from './rule';

/**
 * Longest brief test a profile permits on a luminaire, s; the same quarter is compiled into the controller.
 */
export function briefMostSec(profile: RuleProfile, ratedSec: number): number {
  return ratedSec / profile.brief.partOfRated.value;
}

/** Shortest full test a length rule accepts for a luminaire, s. */
export function fullLeastSec(length: FullLength, ratedSec: number): number {
  if (length.rule === 'rated') return ratedSec;
  if (length.rule === 'minutes') return length.minutes * 60;
  return (ratedSec * length.of[0]) / length.of[1];
}

/**
 * True if a luminaire can never prove what the profile asks, whatever the result of its test: the controller
 * discharges for the rated duration and no longer.
 */
export function isRatedTooShort(profile: RuleProfile, ratedSec: number): boolean {
  return fullLeastSec(profile.fullLength.least.value, ratedSec) > ratedSec;
}

/**
 * Length of the first discharge of a new system, s, rounded up to whole minutes; undefined without such a
 * rule.
 */
export function commissioningSec(profile: RuleProfile): number | undefined {
  const { commissioning } = profile;
  if (!commissioning) return undefined;
  return Math.ceil(commissioning.leastMinutes.value * commissioning.factor.value) * 60;
}
