// What people must do at a site besides the automatic tests, and look at with their own eyes: the duties of its rule
// profile, and those of good practice that the profile lacks. Pure data; who did what and when is in the log book.
import { profileFor } from '../profiles/profile';
import type { Duty, FormName, Interval, RuleProfile } from '../profiles/rule';
import type { Site } from '../site/model';
import { COMMON } from './common';
import { FORMS, type Form } from './forms';

/** A duty that is due by a date. */
export interface DatedDuty extends Form {
  /** Name of its form, and of the duty: no site has two with the same. */
  id: FormName;
  /** The duty with the sources of its words and of its interval. */
  rule: Duty & { due: NonNullable<Duty['due']> };
  interval: Interval;
}

function isDated(duty: Duty): duty is DatedDuty['rule'] {
  return duty.due !== undefined;
}

function datedDuty(rule: DatedDuty['rule']): DatedDuty {
  const { form, interval } = rule.due;
  return { ...FORMS[form], id: form, rule, interval: interval.value };
}

/** All dated duties under a rule profile, its own first. */
export function dutiesUnder(profile: RuleProfile): DatedDuty[] {
  const own = profile.duties.filter(isDated);
  const forms = new Set(own.map((duty) => duty.due.form));
  const common = COMMON.filter(({ unless }) => !unless.some((form) => forms.has(form)));
  return [...own, ...common.map(({ duty }) => duty).filter(isDated)].map(datedDuty);
}

/**
 * The duties of a site. A luminaire with its own battery needs no daily look (EN 50172:2004, 7.2, restated: it is for
 * the indicators of central supplies), so that duty is left out where the site file has no central supply.
 */
export function dutiesOf(site: Site): DatedDuty[] {
  return dutiesUnder(profileFor(site)).filter(({ central }) => !central || site.centralSupply === true);
}

/** "every month", "every 5 years", "daily", "once". */
export function intervalWords(interval: Interval): string {
  if (interval === 'once') return 'once';
  const [count, unit] = 'days' in interval ? [interval.days, 'day'] : wholeMonths(interval.months);
  return count === 1 ? `every ${unit}` : `every ${count} ${unit}s`;
}

function wholeMonths(months: number): [number, string] {
  return months % 12 === 0 ? [months / 12, 'year'] : [months, 'month'];
}
