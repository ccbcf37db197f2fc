// A window in which someone works on a circuit: outside the plan's nights the controller starts tests by
// order only inside such a window. The circuit's own nights, and own hours of shared ones, still apply (I7).
import { DAY_SEC, modulo, nightAt } from '../../planner/nights/nights';
import { neighboursOf } from '../../planner/placing/colours';
import type { Plan } from '../../planner/plan/plan';
import { localDate } from '../../site/civil';
import type { Site } from '../../site/model';
import type { Decision, NewNote } from './notes';

/** UTC seconds; both 0 if cancelled. */
export interface AttendedFields {
  from: number;
  to: number;
}

export interface Attended extends AttendedFields {
  who: string;
}

/** Own days suggested to someone who asked for another day. */
const DAYS_NAMED = 3;
/** Shortest window, s: a brief test with its margins. */
const LEAST_SEC = 600;

function moment(zone: string): (utcSec: number) => string {
  const format = new Intl.DateTimeFormat('en-GB', {
    ...{ weekday: 'short', day: 'numeric', month: 'short', hour: '2-digit', minute: '2-digit' },
    ...{ timeZone: zone, hourCycle: 'h23' },
  });
  return (utcSec) => format.format(new Date(utcSec * 1000)).replace(',', '');
}

/** "Tue 13 Jan 12:00 to Wed 14 Jan 12:00; ...": the next days on which the circuit may be tested at all. */
function ownDays(site: Site, share: Plan['circuits'][0], now: number): string {
  const say = moment(site.timeZone);
  const first = nightAt(now, share.noon);
  const wait = modulo(share.residue - first, share.cycle);
  return Array.from({ length: DAYS_NAMED }, (_, i) => {
    const start = share.noon + (first + wait + i * share.cycle) * DAY_SEC;
    return `${say(start)} to ${say(start + DAY_SEC)}`;
  }).join('; ');
}

/** Whether the day of a UTC second, from noon to noon, is the circuit's alone: any test may be made in it. */
export function isOwnDay({ noon, residue, cycle }: Plan['circuits'][0], utcSec: number): boolean {
  return modulo(nightAt(utcSec, noon) - residue, cycle) === 0;
}

/** Own hours in a shared night that is no own one; undefined if it is not shared. Only function tests may be made. */
function ownHours(share: Plan['circuits'][0], utcSec: number): AttendedFields | undefined {
  const { noon, sharedCycle = 0, sharedResidue = 0, hoursFrom = 0, hoursSec = 0 } = share;
  const night = nightAt(utcSec, noon);
  if (sharedCycle === 0 || modulo(night - sharedResidue, sharedCycle) !== 0) return undefined;
  const from = noon + night * DAY_SEC + modulo(hoursFrom - noon, DAY_SEC);
  return { from, to: from + hoursSec };
}

/** Neighbours whose day it is. */
function ownersOf(site: Site, plan: Plan, circuit: string, night: number): string[] {
  const near = neighboursOf(site).get(circuit) ?? new Set();
  return plan.circuits
    .filter((other) => near.has(other.circuit) && modulo(night - other.residue, other.cycle) === 0)
    .map((other) => other.circuit);
}

/**
 * Why the circuit must not be tested in that window, one sentence; '' if it may be.
 * @param plan the current plan, which gives each circuit its own days
 * @param now UTC second
 */
export function attendedRefusal(
  site: Site,
  plan: Plan,
  circuit: string,
  { from, to }: AttendedFields,
  now: number,
): string {
  const share = plan.circuits.find((one) => one.circuit === circuit);
  if (!share) return `The plan has no circuit ${circuit}.`;
  if (to <= now) return 'That time is already over; give a later end.';
  if (to - from < LEAST_SEC) return `The time must be at least ${LEAST_SEC / 60} min.`;
  const night = nightAt(from, share.noon);
  const say = moment(site.timeZone);
  const hours = ownHours(share, from);
  if (!isOwnDay(share, from) && !(hours && hours.from <= from && to <= hours.to)) {
    const owners = ownersOf(site, plan, circuit, night);
    const whose = owners.length > 0 ? ` (${owners.join(' and ')})` : '';
    const also = hours
      ? ` In the night after, function tests of ${circuit} are possible from ${say(hours.from)} to ${say(hours.to)}.`
      : '';
    return (
      `Circuit ${circuit} cannot be tested on ${say(from)}: that day, from noon to noon, is for tests of its ` +
      `neighbours${whose}, which are never tested on the same day. Next possible: ${ownDays(site, share, now)}.${also}`
    );
  }
  const end = share.noon + (night + 1) * DAY_SEC;
  if (to > end)
    return `The day of circuit ${circuit} ends at ${say(end)} and a neighbour's may begin; end the work by then.`;
  const barred = site.noTestDates.find((date) =>
    [from, to - 1].some((utc) => localDate(site.timeZone, utc) === date),
  );
  return barred ? `The site file does not allow tests on ${barred}.` : '';
}

/** A window from now on, or with 0 and 0 the end of the present one. */
export interface AttendedWish extends AttendedFields {
  site: Site;
  circuit: string;
  who: string;
  /** UTC second. */
  now: number;
  /** The window last entered. */
  present: Attended | undefined;
  /** The current plan. */
  plan: Plan | undefined;
}

/** The note to write, or why not, one sentence. */
export function decideAttended(wish: AttendedWish): Decision {
  const { site, circuit, who, now, present, plan, from, to } = wish;
  const note: NewNote = {
    ...{ address: `${site.id}/${circuit}`, kind: 'attended', at: now, who },
    fields: { from, to } satisfies AttendedFields,
  };
  if (to === 0)
    return present && present.to > now ? { note } : { refusals: ['No one is recorded as working there.'] };
  if (!plan) return { refusals: ['There is no plan yet; run the host with this site first.'] };
  const refusal = attendedRefusal(site, plan, circuit, { from, to }, now);
  return refusal === '' ? { note } : { refusals: [refusal] };
}

/** A window in words: "Tue 13 Jan 13:00 to Tue 13 Jan 15:00". */
export function windowWords({ from, to }: AttendedFields, zone: string): string {
  const say = moment(zone);
  return `${say(from)} to ${say(to)}`;
}
