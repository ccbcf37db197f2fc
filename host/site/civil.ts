// Civil time of the building. Every conversion between local time and UTC goes through here.
import { Temporal } from 'temporal-polyfill';
import type { Weekday } from './model';

const WEEKDAYS: Weekday[] = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'];
const DAY_MS = 86400_000;

/** True for a zone name of the IANA database this machine knows. */
export function isTimeZone(name: string): boolean {
  if (!/^[A-Za-z]/.test(name)) return false;
  try {
    new Intl.DateTimeFormat('en', { timeZone: name });
    return true;
  } catch {
    return false;
  }
}

/** True for an ISO date that exists, "YYYY-MM-DD". */
export function isDate(text: string): boolean {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text)) return false;
  try {
    Temporal.PlainDate.from(text, { overflow: 'reject' });
    return true;
  } catch {
    return false;
  }
}

/**
 * UTC second of a local date and minute (0 to 2880) of that date. Where the clocks skip or repeat that
 * minute, `edge` picks the reading that keeps an interval short: the later start, the earlier end.
 */
export function utcOf(timeZone: string, date: string, minute: number, edge: 'start' | 'end'): number {
  const local = Temporal.PlainDate.from(date)
    .toPlainDateTime()
    .add({ days: Math.floor(minute / 1440), minutes: minute % 1440 });
  const zoned = local.toZonedDateTime(timeZone, { disambiguation: edge === 'start' ? 'later' : 'earlier' });
  return Math.floor(zoned.epochMilliseconds / 1000);
}

/** UTC second of a local civil time "YYYY-MM-DDTHH:MM". */
export function utcOfLocal(timeZone: string, local: string): number {
  return Math.floor(Temporal.PlainDateTime.from(local).toZonedDateTime(timeZone).epochMilliseconds / 1000);
}

/** Local date, "YYYY-MM-DD", at a UTC second. */
export function localDate(timeZone: string, utcSec: number): string {
  return Temporal.Instant.fromEpochMilliseconds(utcSec * 1000)
    .toZonedDateTimeISO(timeZone)
    .toPlainDate()
    .toString();
}

/** The date `days` later (or earlier, when negative). */
export function dateAfter(date: string, days: number): string {
  return Temporal.PlainDate.from(date).add({ days }).toString();
}

export function weekdayOf(date: string): Weekday {
  return WEEKDAYS[Temporal.PlainDate.from(date).dayOfWeek - 1];
}

/** Smallest and largest offset of local time from UTC, s, in the 400 days after a UTC second. */
export function offsetRange(timeZone: string, utcSec: number): { least: number; most: number } {
  let at = Temporal.Instant.fromEpochMilliseconds(utcSec * 1000).toZonedDateTimeISO(timeZone);
  const endMs = at.epochMilliseconds + 400 * DAY_MS;
  let least = at.offsetNanoseconds / 1e9;
  let most = least;
  for (;;) {
    const next = at.getTimeZoneTransition('next');
    if (!next || next.epochMilliseconds > endMs) return { least, most };
    at = next;
    least = Math.min(least, at.offsetNanoseconds / 1e9);
    most = Math.max(most, at.offsetNanoseconds / 1e9);
  }
}
