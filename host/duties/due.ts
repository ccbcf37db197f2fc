// When each duty is due: the civil date of the last time, a number of civil days or months later. Done on 31 January,
// a monthly duty is due on the last day of February.
import type { Interval } from '../profiles/rule';
import { dateAfter, daysBetween, localDate, monthsAfter } from '../site/civil';
import type { Site } from '../site/model';
import type { DatedDuty } from './duties';

/** The newest time a duty was done for one scope. */
export interface Done {
  /** Number of its entry in the log book. */
  entry: number;
  who: string;
  /** UTC second it was done. */
  done: number;
}

/** What an inspection looked at, as stored: "site", "area hall", "circuit a" or "luminaire A-01". */
export type Scope = string;

/** What is known of the inspections of a site. */
export interface DoneBefore {
  /** UTC second from which a duty never done is counted; undefined before the first note of the log book. */
  since: number | undefined;
  /** The newest time a duty was done for just this scope. */
  last(duty: string, scope: Scope): Done | undefined;
  /**
   * UTC second from which a look at this part saw the luminaire, by its id of today: 0 from the beginning, infinity if
   * it is not known to be there yet.
   */
  presentSince(luminaire: string, scope: Scope): number;
}

export type DueState = 'overdue' | 'due' | 'soon' | 'later' | 'done';

export interface DueDuty {
  duty: DatedDuty;
  /** Local date by which it must be done; '' once a duty that comes only once is done. */
  due: string;
  state: DueState;
  /** Civil days from today to `due`, negative if overdue; 0 if it is done for good. */
  days: number;
  /** The newest time any of it was done. */
  last: Done | undefined;
  /** Luminaires to see by then, where a part of the site has been seen since; empty if it is the whole site. */
  left: string[];
}

/** Days before the due date on which a duty is shown as due soon (common practice, no source). */
function leadDays(interval: Interval): number {
  if (interval === 'once' || 'days' in interval) return 0;
  return interval.months <= 3 ? 7 : 30;
}

/** The local date on which a duty is due that was last done on another; '' if it never is again. */
export function nextDate(last: string, interval: Interval): string {
  if (interval === 'once') return '';
  return 'days' in interval ? dateAfter(last, interval.days) : monthsAfter(last, interval.months);
}

/** A site does not change while the host runs, and a large one takes long to go through. */
const known = new WeakMap<Site, Map<string, Scope[]>>();

/** Every luminaire of the site, with the scopes that contain it. */
export function scopesOfLuminaires(site: Site): ReadonlyMap<string, Scope[]> {
  let scopes = known.get(site);
  if (!scopes) {
    scopes = listScopes(site);
    known.set(site, scopes);
  }
  return scopes;
}

function listScopes(site: Site): Map<string, Scope[]> {
  const scopes = new Map<string, Scope[]>();
  for (const circuit of site.circuits)
    for (const { id, area, formerly = [] } of circuit.luminaires)
      scopes.set(id, [
        ...['site', `circuit ${circuit.id}`, `area ${area}`, `luminaire ${id}`],
        ...formerly.map((former) => `luminaire ${former}`),
      ]);
  return scopes;
}

function newest(times: Iterable<Done | undefined>): Done | undefined {
  let found: Done | undefined;
  for (const time of times) if (time && (!found || time.done > found.done)) found = time;
  return found;
}

/** A place that counts by itself: a luminaire, or the site as a whole. */
interface Seen {
  last: Done | undefined;
  /** UTC second from which it is there, as in `DoneBefore`. */
  from: number;
}

/** When a duty was last done in each place. What was looked at before a luminaire was there did not see it. */
function timesOf(duty: DatedDuty, site: Site, before: DoneBefore): Map<string, Seen> {
  if (!duty.byLuminaire) return new Map([['', { last: before.last(duty.id, 'site'), from: 0 }]]);
  const times = new Map<string, Seen>();
  for (const [id, scopes] of scopesOfLuminaires(site)) {
    const seen = scopes.map((scope) => {
      const last = before.last(duty.id, scope);
      return last && last.done >= before.presentSince(id, scope) ? last : undefined;
    });
    times.set(id, { last: newest(seen), from: before.presentSince(id, 'site') });
  }
  return times;
}

function stateOf(days: number, interval: Interval): DueState {
  if (days < 0) return 'overdue';
  if (days === 0) return 'due';
  return days <= leadDays(interval) ? 'soon' : 'later';
}

/** The same function, which works out each answer once: many luminaires were seen at the same time. */
function remembering<Q, A>(work: (question: Q) => A): (question: Q) => A {
  const known = new Map<Q, A>();
  return (question) => {
    const answer = known.get(question) ?? work(question);
    known.set(question, answer);
    return answer;
  };
}

function dueDuty(duty: DatedDuty, site: Site, before: DoneBefore, now: number): DueDuty {
  const times = timesOf(duty, site, before);
  const begun = before.since ?? now;
  const day = remembering((utc: number) => localDate(site.timeZone, utc));
  const next = remembering((date: string) => nextDate(date, duty.interval));
  // What was never done is due an interval after the log book began, or after it was there; what comes once, at once.
  const firstDue = (from: number): string => {
    const first = day(Math.min(now, Math.max(begun, from)));
    return next(first) || first;
  };
  const dates = [...times].map(([id, { last, from }]) => ({
    id,
    due: last ? next(day(last.done)) : firstDue(from),
  }));
  const last = newest([...times.values()].map((seen) => seen.last));
  const open = dates.filter(({ due }) => due !== '');
  if (open.length === 0) return { duty, due: '', state: 'done', days: 0, last, left: [] };
  let [{ due }] = open;
  for (const one of open) if (one.due < due) due = one.due;
  const today = day(now);
  const left = open.filter((one) => one.due === due || one.due <= today).map(({ id }) => id);
  const until = daysBetween(today, due);
  return {
    ...{ duty, due, days: until, last, state: stateOf(until, duty.interval) },
    left: left.length < times.size ? left : [],
  };
}

/**
 * The given duties with their dates, those due first in front.
 * @param now UTC second
 */
export function dueDuties(
  duties: readonly DatedDuty[],
  site: Site,
  before: DoneBefore,
  now: number,
): DueDuty[] {
  return duties
    .map((duty) => dueDuty(duty, site, before, now))
    .sort((a, b) => Number(a.state === 'done') - Number(b.state === 'done') || a.days - b.days);
}

/** "overdue by 3 days", "due today", "due in 5 days", "done". */
export function dueWords({ state, days }: Pick<DueDuty, 'state' | 'days'>): string {
  if (state === 'done') return 'done';
  if (days === 0) return 'due today';
  const count = Math.abs(days);
  const span = `${count} ${count === 1 ? 'day' : 'days'}`;
  return days < 0 ? `overdue by ${span}` : `due in ${span}`;
}
