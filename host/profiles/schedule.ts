import { cite, minutes, practice } from './cite';
import type { RuleProfile } from './rule';

/** What a building's compliance schedule says, as the site file gives it. */
export interface ScheduleValues {
  /** Number or name of the schedule, printed as the source of each value. */
  reference: string;
  /** Most days between two brief tests, and between two full tests. */
  briefDays: number;
  fullDays: number;
  /** Shortest length of a full test, min. */
  fullMinutes: number;
}

/** That the authority has agreed to a longer interval, as the site file says. */
export interface AgreementValues {
  /** Whose agreement it is and where it is written, printed as the source of the value. */
  reference: string;
  /** Most days between two brief tests. */
  briefDays: number;
}

/** Share of an interval before which the plan deliberately takes no test (common practice, no source). */
const EARLIEST_PART = 0.7;

/** A profile with the intervals and length from a compliance schedule. */
export function withSchedule(profile: RuleProfile, values: ScheduleValues): RuleProfile {
  const document = { source: `compliance schedule ${values.reference}`, status: 'SITE' as const };
  return {
    ...profile,
    brief: {
      ...profile.brief,
      everyDays: cite(document, values.briefDays, ''),
      latestDays: cite(document, values.briefDays, ''),
      earliestDays: practice(Math.ceil(values.briefDays * EARLIEST_PART)),
    },
    full: {
      ...profile.full,
      latestDays: cite(document, values.fullDays, ''),
      earlierDays: practice(Math.min(60, Math.floor(values.fullDays / 3))),
    },
    fullLength: { least: cite(document, minutes(values.fullMinutes), '') },
  };
}

/** A profile with the interval to which the authority has agreed; the plan aims at the rule's own limit. */
export function withAgreement(profile: RuleProfile, values: AgreementValues): RuleProfile {
  const document = { source: `agreement ${values.reference}`, status: 'SITE' as const };
  const latestDays = cite(document, values.briefDays, '');
  return { ...profile, brief: { ...profile.brief, everyDays: profile.brief.latestDays, latestDays } };
}
