// Why a test could not be placed in time: the first of these that explains it.
import { TestKind } from '../../../firmware/contract/codes';
import type { Circuit, Site } from '../../site/model';
import type { Night } from '../nights/nights';
import { modulo, permittedNights } from '../nights/nights';
import { fitsNight } from '../placing/chooseSlot';
import { type CircuitWork, lengthsOf } from '../placing/circuitWork';
import type { Shortfall } from '../plan/plan';
import type { Judged } from './wiring';

export type Reason =
  | { why: 'overdue' }
  | { why: 'length'; needSec: number; longestSec: number }
  | { why: 'opening'; needSec: number; rechargeSec: number }
  | { why: 'barred'; dates: string[] }
  | { why: 'windows' }
  | { why: 'turns'; rivals: Circuit[]; cycle: number }
  | { why: 'caps'; atOnce: number }
  | { why: 'own' };

/** The nights in which a late test should have been, both included. */
export interface Interval {
  first: number;
  last: number;
}

/** From the night after the test before it, or the first of the plan, to the night by which it was due. */
export function intervalOf({ kind, dueNight }: Shortfall, j: Judged): Interval {
  const { brief, full } = j.placing.profile;
  const days = kind === TestKind.Brief ? brief.latestDays.value : full.earlierDays.value;
  return { first: Math.max(j.placing.fromNight, dueNight - days + 1), last: dueNight };
}

const within = (nights: Night[], { first, last }: Interval) =>
  nights.filter((night) => night.night >= first && night.night <= last);

/** The nights that would be permitted in an interval were there no dates without tests. */
function unbarred(site: Site, j: Judged, interval: Interval): Night[] {
  if (site.noTestDates.length === 0) return [];
  return within(permittedNights({ ...site, noTestDates: [] }, j.noon, j.from, j.until), interval);
}

/** Neighbours of a circuit that are all neighbours of one another: they and it can never share a night. */
function rivalsOf(circuit: string, j: Judged): Circuit[] {
  const byDegree = [...j.near.get(circuit)!].sort((a, b) => j.near.get(b)!.size - j.near.get(a)!.size);
  const rivals: string[] = [circuit];
  for (const other of byDegree) if (rivals.every((one) => j.near.get(one)!.has(other))) rivals.push(other);
  const among = new Set(rivals);
  return j.site.circuits.filter(({ id }) => among.has(id));
}

/** The dates without tests that keep a circuit from nights it could otherwise use. */
function barringDates(nights: Night[], j: Judged): string[] {
  const permitted = new Set(j.placing.nights.map((night) => night.night));
  const lost = nights.filter((night) => !permitted.has(night.night));
  const dates = lost.flatMap(({ start, end }) =>
    j.site.noTestDates.filter((date) => {
      const noonOfDate = Date.parse(`${date}T12:00Z`) / 1000;
      return noonOfDate > start - 86_400 && noonOfDate < end + 86_400;
    }),
  );
  return [...new Set(dates)].sort();
}

function isOwn({ share: { shared, ...own } }: CircuitWork, kind: TestKind, { night }: Night): boolean {
  if (modulo(night - own.residue, own.cycle) === 0) return true;
  return (
    kind === TestKind.Brief && shared !== undefined && modulo(night - shared.residue, shared.cycle) === 0
  );
}

/** Nights from one turn of a circuit to the next. */
function turnOf({ share: { shared, cycle } }: CircuitWork, kind: TestKind): number {
  return kind === TestKind.Brief && shared ? shared.cycle : cycle;
}

/** Why a circuit's test had to be late. */
export function reasonFor(work: CircuitWork, shortfall: Shortfall, j: Judged): Reason {
  const { placing, site } = j;
  const interval = intervalOf(shortfall, j);
  const { needSec, rechargeSec } = lengthsOf(work.circuit, shortfall.kind, placing.profile);
  const first = placing.nights[0]?.night;
  if (first !== undefined && shortfall.dueNight < first && shortfall.dueNight <= placing.fromNight + 1)
    return { why: 'overdue' };
  const permitted = within(placing.nights, interval);
  const could = unbarred(site, j, interval).filter((night) => night.end - night.start >= needSec);
  if (permitted.length === 0) {
    return could.length > 0 ? { why: 'barred', dates: barringDates(could, j) } : { why: 'windows' };
  }
  const long = permitted.filter((night) => night.end - night.start >= needSec);
  if (long.length === 0) {
    const longestSec = Math.max(...permitted.map((night) => night.end - night.start));
    return { why: 'length', needSec, longestSec };
  }
  const common = placing.prices.commonOf(placing, work, shortfall.kind);
  const full = long.filter((night) => common[placing.nights.indexOf(night)] < Number.POSITIVE_INFINITY);
  if (full.length === 0) return { why: 'opening', needSec, rechargeSec };
  const own = full.filter((night) => isOwn(work, shortfall.kind, night));
  if (own.length === 0) {
    const lost = could.filter((night) => isOwn(work, shortfall.kind, night));
    if (lost.length > 0) return { why: 'barred', dates: barringDates(lost, j) };
    const turns = turnOf(work, shortfall.kind);
    const rivals = rivalsOf(work.circuit.id, j);
    return turns > interval.last - interval.first + 1 || rivals.length > 1
      ? { why: 'turns', rivals, cycle: turns }
      : { why: 'windows' };
  }
  const taken = new Set(work.taken.places().map((place) => placing.nights[place].night));
  const free = own.filter((night) => !taken.has(night.night));
  if (free.some((night) => !fitsNight(placing, work, shortfall.kind, placing.nights.indexOf(night))))
    return { why: 'caps', atOnce: site.openingsAtOnce };
  return { why: 'own' };
}
