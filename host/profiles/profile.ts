import * as all from './all';
import type { RuleProfile } from './rule';
import { type ScheduleValues, withSchedule } from './schedule';

export type { Ruled, RuleProfile } from './rule';

/** Every rule profile: the default first, then by name. */
export const profiles: readonly RuleProfile[] = [
  all.en50172,
  ...Object.values(all)
    .filter((profile) => profile !== all.en50172)
    .sort((a, b) => (a.name < b.name ? -1 : 1)),
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
