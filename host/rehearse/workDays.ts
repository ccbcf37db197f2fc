// The working days on which someone tests by hand, and those on which someone can repair, from the building's calendar.

import type { WorkDay } from '../../simulator/people/rounds';
import { dateAfter, localDate, utcOf, weekdayOf } from '../site/civil';
import type { ByHand, Site } from '../site/model';
import { startUtcMs } from './estate';

/** Minute of the day at which an electrician comes to repair (common practice, no source). */
const ARRIVES_MINUTE = 8 * 60;

/** The round a date belongs to: all its days share a name. */
function roundOf(every: ByHand['every'], date: string): string {
  const [year, month] = date.split('-').map(Number);
  if (every === 'month') return date.slice(0, 7);
  if (every === 'quarter') return `${year} quarter ${Math.ceil(month / 3)}`;
  const sinceMonday = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'].indexOf(weekdayOf(date));
  return `week of ${dateAfter(date, -sinceMonday)}`;
}

/**
 * The working days of a site tested by hand that lie entirely within the first `days` of its simulation. Days
 * on which the building is closed or not tested do not count.
 */
export function workDaysOf(site: Site, byHand: ByHand, days: number): WorkDay[] {
  const startMs = startUtcMs(site);
  const first = localDate(site.timeZone, startMs / 1000);
  const barred = new Set([...site.closedDates, ...site.noTestDates]);
  const found: (WorkDay & { date: string })[] = [];
  for (let day = 0; day <= days; day++) {
    const date = dateAfter(first, day);
    if (!byHand.days.includes(weekdayOf(date)) || barred.has(date)) continue;
    const at = (minute: number, edge: 'start' | 'end') =>
      utcOf(site.timeZone, date, minute, edge) * 1000 - startMs;
    const span = { from: at(byHand.from, 'start'), to: at(byHand.to, 'end') };
    if (span.from < 0 || span.to > days * 86_400_000) continue;
    found.push({ ...span, date, round: roundOf(byHand.every, date), isFull: false });
  }
  // The round in which that month begins holds the year's full tests.
  const months = new Map<string, string>();
  for (const { date, round } of found) if (!months.has(date.slice(0, 7))) months.set(date.slice(0, 7), round);
  const month = `-${String(byHand.fullMonth).padStart(2, '0')}`;
  const full = new Set([...months].filter(([name]) => name.endsWith(month)).map(([, round]) => round));
  return found.map(({ date: _not, ...day }) => ({ ...day, isFull: full.has(day.round) }));
}

/**
 * Instants at which an electrician can come in the first `days` of a site's simulation: mornings of its
 * `engineerDays` but for the dates on which it is closed; sorted, simulated ms.
 */
export function arrivalsOf(site: Site, days: number): number[] {
  const startMs = startUtcMs(site);
  const first = localDate(site.timeZone, startMs / 1000);
  return Array.from({ length: days + 1 }, (_, day) => dateAfter(first, day))
    .filter((date) => site.engineerDays.includes(weekdayOf(date)) && !site.closedDates.includes(date))
    .map((date) => utcOf(site.timeZone, date, ARRIVES_MINUTE, 'start') * 1000 - startMs);
}
