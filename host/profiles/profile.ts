import { asNzs2293, newZealand } from './australasia';
import { cie193, en50172, en50172of2024 } from './en50172';
import { franceErp, germany, ireland, italy } from './europe';
import { canada, minnesota, nfpa101Computer, nfpa101Manual, nfpa101SelfTesting } from './northAmerica';
import type { RuleProfile } from './rule';
import { type ScheduleValues, withSchedule } from './schedule';

export type { Ruled, RuleProfile } from './rule';

/** Every rule profile, the default first. */
export const profiles: readonly RuleProfile[] = [
  ...[en50172, en50172of2024, cie193, ireland, germany, franceErp, italy],
  ...[nfpa101Manual, nfpa101SelfTesting, nfpa101Computer, minnesota, canada, asNzs2293, newZealand],
];

/** Names a site file may give as `profile`. */
export function profileNames(): string[] {
  return profiles.map((profile) => profile.name);
}

/** True if a site that names this profile must also give `complianceSchedule`. */
export function needsSchedule(name: string): boolean {
  return profiles.some((profile) => profile.name === name && profile.bySchedule);
}

/**
 * The rule profile of that name. Throws if there is none, or if it needs the values of the building's
 * compliance schedule and has none; a loaded site always names one that exists.
 */
export function profileOf(name: string, schedule?: ScheduleValues): RuleProfile {
  const found = profiles.find((profile) => profile.name === name);
  if (!found)
    throw new Error(`There is no rule profile "${name}"; choose one of: ${profileNames().join(', ')}.`);
  if (!found.bySchedule) return found;
  if (!schedule)
    throw new Error(
      `The rule profile "${name}" has no intervals of its own; give complianceSchedule in the site file.`,
    );
  return withSchedule(found, schedule);
}

/** The rule profile of a site, with the values of its compliance schedule where the profile asks for one. */
export function profileFor(site: { profile: string; complianceSchedule?: ScheduleValues }): RuleProfile {
  return profileOf(site.profile, site.complianceSchedule);
}
