// A window in which somebody is at work on a circuit: outside the plan's nights the controller starts tests
// by order only inside such a window. The circuit's own nights hold all the same (I7).
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import { DAY_SEC, modulo, nightAt } from '../planner/nights/nights';
import { neighboursOf } from '../planner/placing/colours';
import type { Plan } from '../planner/plan/plan';
import { localDate } from '../site/civil';
import type { Site } from '../site/model';
import { readNotes, writeNote } from './notes';

/** UTC seconds; both 0: called off. */
export interface AttendedFields {
  from: number;
  to: number;
}

export interface Attended extends AttendedFields {
  who: string;
}

/** Own days named to somebody who asked for another. */
const DAYS_NAMED = 3;
/** Shortest window, s: a brief test with its margins. */
const LEAST_SEC = 600;

/** The window last entered for a circuit, unless it was called off; it may lie in the past. */
export function attendedWindow(
  logbook: Pick<Logbook, 'page'>,
  keys: KeyRing,
  address: string,
): Attended | undefined {
  const [note] = readNotes<AttendedFields>(logbook, keys, address, 'attended');
  if (!note) return undefined;
  const { from, to } = note.fields;
  return to > 0 ? { from, to, who: note.who } : undefined;
}

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

/** Neighbours whose day that is. */
function ownersOf(site: Site, plan: Plan, circuit: string, night: number): string[] {
  const near = neighboursOf(site).get(circuit) ?? new Set();
  return plan.circuits
    .filter((other) => near.has(other.circuit) && modulo(night - other.residue, other.cycle) === 0)
    .map((other) => other.circuit);
}

/**
 * Why nobody may test the circuit in that window, one sentence; '' when it is permitted.
 * @param plan the plan in force, which gives each circuit its own days
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
  if (to <= now) return 'The window is over already; give one that ends later.';
  if (to - from < LEAST_SEC) return `The window must last ${LEAST_SEC / 60} min at least.`;
  const night = nightAt(from, share.noon);
  const say = moment(site.timeZone);
  if (modulo(night - share.residue, share.cycle) !== 0) {
    const owners = ownersOf(site, plan, circuit, night);
    const whose = owners.length > 0 ? `, but to its neighbour ${owners.join(' and ')}` : '';
    return (
      `${say(from)} does not belong to circuit ${circuit}${whose}; neighbours are never tested together. Its own ` +
      `days are ${ownDays(site, share, now)}.`
    );
  }
  const end = share.noon + (night + 1) * DAY_SEC;
  if (to > end)
    return `At ${say(end)} the day of circuit ${circuit} is over and a neighbour's may begin; end the window there.`;
  const barred = site.noTestDates.find((date) =>
    [from, to - 1].some((utc) => localDate(site.timeZone, utc) === date),
  );
  return barred ? `The site file permits no test on ${barred}.` : '';
}

export interface Attending extends AttendedFields {
  /** site/circuit */
  address: string;
  who: string;
  /** UTC second. */
  at: number;
}

/** Writes a window (checked before), or with 0 and 0 its calling off, into the log book. */
export function writeAttended(logbook: Pick<Logbook, 'appendNext'>, keys: KeyRing, a: Attending): number {
  const { address, at, who, from, to } = a;
  return writeNote(logbook, keys, { address, kind: 'attended', at, who, fields: { from, to } });
}

/** A window in words: "Tue 13 Jan 13:00 to Tue 13 Jan 15:00". */
export function windowWords({ from, to }: AttendedFields, zone: string): string {
  const say = moment(zone);
  return `${say(from)} to ${say(to)}`;
}
