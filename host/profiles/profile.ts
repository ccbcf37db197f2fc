import * as all from './all';
import type { RuleProfile } from './rule';
import { type AgreementValues, type ScheduleValues, withAgreement, withSchedule } from './schedule';

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
 * Days between function tests that the profile keeps to by itself, and those to which the authority may agree;
 * undefined if the rule provides for no agreement.
 */
export function agreeableDays(name: string): { own: number; most: number } | undefined {
  const brief = profiles.find((profile) => profile.name === name)?.brief;
  return brief?.agreedDays && { own: brief.latestDays.value, most: brief.agreedDays.value };
}

/**
 * The rule profile of that name. Throws if there is none, or if it needs the values of the building's
 * compliance schedule and has none; a loaded site always names one that exists.
 */
export function profileOf(name: string, schedule?: ScheduleValues, agreement?: AgreementValues): RuleProfile {
  const found = profiles.find((profile) => profile.name === name);
  if (!found)
    throw new Error(`There is no rule profile "${name}"; choose one of: ${profileNames().join(', ')}.`);
  if (!found.bySchedule) return agreement ? withAgreement(found, agreement) : found;
  if (!schedule)
    throw new Error(
      `The rule profile "${name}" has no intervals of its own; give complianceSchedule in the site file.`,
    );
  return withSchedule(found, schedule);
}

/** What a site file says of its rules. */
interface RuledSite {
  profile: string;
  complianceSchedule?: ScheduleValues;
  authorityAgreement?: AgreementValues;
}

/** The rule profile of a site, with what its compliance schedule or the authority's agreement sets. */
export function profileFor(site: RuledSite): RuleProfile {
  return profileOf(site.profile, site.complianceSchedule, site.authorityAgreement);
}
