// Civil time of the building. Every conversion between local time and UTC goes through here.
import { Temporal } from 'temporal-polyfill';
import { isoUtc } from '../words/when';
import type { Weekday } from './model';

export const WEEKDAYS: readonly Weekday[] = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'];
const DAY_SEC = 86400;

/** True for a zone name in this machine's IANA database. */
export function isTimeZone(name: string): boolean {
  if (!/^[A-Za-z]/.test(name)) return false;
  try {
    new Intl.DateTimeFormat('en', { timeZone: name });
    return true;
  } catch {
    return false;
  }
}

/** Dates that have been found to exist: a large site names the same few very many times. */
const realDates = new Set<string>();
const REAL_DATES_MAX = 10_000;

/** True for an ISO date that exists, "YYYY-MM-DD". */
export function isDate(text: string): boolean {
  if (realDates.has(text)) return true;
  const isReal = /^\d{4}-\d{2}-\d{2}$/.test(text) && exists(text);
  if (isReal && realDates.size < REAL_DATES_MAX) realDates.add(text);
  return isReal;
}

function exists(text: string): boolean {
  try {
    Temporal.PlainDate.from(text, { overflow: 'reject' });
    return true;
  } catch {
    return false;
  }
}

/** A period without clock changes in a zone, UTC seconds, and its offset from UTC, s. */
interface Unchanged {
  from: number;
  until: number;
  offset: number;
}

/** Answers kept per zone: a plan asks thousands of times for something that changes twice a year. */
const known = new Map<string, Unchanged[]>();

function lookUp(timeZone: string, utcSec: number): Unchanged {
  const at = Temporal.Instant.fromEpochMilliseconds(utcSec * 1000).toZonedDateTimeISO(timeZone);
  // The last change up to and including the instant.
  const last = at.add({ nanoseconds: 1 }).getTimeZoneTransition('previous');
  const next = at.getTimeZoneTransition('next');
  return {
    from: last ? Math.floor(last.epochMilliseconds / 1000) : Number.NEGATIVE_INFINITY,
    until: next ? Math.floor(next.epochMilliseconds / 1000) : Number.POSITIVE_INFINITY,
    offset: at.offsetNanoseconds / 1e9,
  };
}

/** Offset of local time from UTC at a UTC second, s. */
function offsetAt(timeZone: string, utcSec: number): number {
  let spans = known.get(timeZone);
  if (!spans) {
    spans = [];
    known.set(timeZone, spans);
  }
  let span = spans.find(({ from, until }) => from <= utcSec && utcSec < until);
  if (!span) {
    span = lookUp(timeZone, utcSec);
    spans.push(span);
  }
  return span.offset;
}

/** UTC second at which a date would begin if local time were UTC. */
function startOf(date: string): number {
  return Date.parse(`${date}T00:00Z`) / 1000;
}

/**
 * UTC second of a local date and minute (0 to 2880) of that date. Where the clocks skip or repeat that
 * minute, `edge` picks the reading that keeps an interval short: the later start, the earlier end.
 */
export function utcOf(timeZone: string, date: string, minute: number, edge: 'start' | 'end'): number {
  const local = startOf(date) + minute * 60;
  const offsets = [offsetAt(timeZone, local - DAY_SEC), offsetAt(timeZone, local + DAY_SEC)];
  if (offsets[0] === offsets[1]) return local - offsets[0];
  const readings = offsets.map((offset) => local - offset);
  // Empty where the minute is skipped, two entries where it is repeated.
  const real = readings.filter((utc, i) => offsetAt(timeZone, utc) === offsets[i]);
  const either = real.length > 0 ? real : readings;
  return edge === 'start' ? Math.max(...either) : Math.min(...either);
}

/** UTC second of a local civil time "YYYY-MM-DDTHH:MM". */
export function utcOfLocal(timeZone: string, local: string): number {
  return Math.floor(Temporal.PlainDateTime.from(local).toZonedDateTime(timeZone).epochMilliseconds / 1000);
}

function dateText(localSec: number): string {
  return new Date(localSec * 1000).toISOString().slice(0, -14);
}

/** Local date, "YYYY-MM-DD", at a UTC second. */
export function localDate(timeZone: string, utcSec: number): string {
  return dateText(utcSec + offsetAt(timeZone, utcSec));
}

/** Civil days from one UTC second to another: a day has as many hours as the clocks give it. */
export function civilDays(timeZone: string, from: number, to: number): number {
  const [first, last] = [from, to].map((utcSec) =>
    Math.floor((utcSec + offsetAt(timeZone, utcSec)) / DAY_SEC),
  );
  return last - first;
}

/** A UTC second in ISO 8601 by local time, with its offset from UTC: "2026-01-06T02:14:00+01:00". */
export function isoLocal(timeZone: string, utcSec: number): string {
  const second = Math.floor(utcSec);
  const offset = offsetAt(timeZone, second);
  const minutes = Math.round(Math.abs(offset) / 60);
  const two = (n: number) => String(n).padStart(2, '0');
  const zone = `${offset < 0 ? '-' : '+'}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
  return `${isoUtc(second + offset).slice(0, -1)}${zone}`;
}

/** The date `days` later (or earlier, when negative). */
export function dateAfter(date: string, days: number): string {
  return dateText(startOf(date) + days * DAY_SEC);
}

export function weekdayOf(date: string): Weekday {
  // 1 January 1970 was a Thursday.
  return WEEKDAYS[(((startOf(date) / DAY_SEC + 3) % 7) + 7) % 7];
}

/** Smallest and largest offset of local time from UTC, s, in the 400 days after a UTC second. */
export function offsetRange(timeZone: string, utcSec: number): { least: number; most: number } {
  let at = Temporal.Instant.fromEpochMilliseconds(utcSec * 1000).toZonedDateTimeISO(timeZone);
  const endMs = at.epochMilliseconds + 400 * DAY_SEC * 1000;
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

/** The date a number of calendar months later, or the last day of that month if it has no such day. */
export function monthsAfter(date: string, months: number): string {
  return Temporal.PlainDate.from(date).add({ months }).toString();
}

/** Civil days from one date to another, negative if the other is earlier. */
export function daysBetween(from: string, to: string): number {
  return (startOf(to) - startOf(from)) / DAY_SEC;
}

const NOON = 12 * 60;

/** UTC second of noon on a local date. */
export function noonOn(timeZone: string, date: string): number {
  return utcOf(timeZone, date, NOON, 'start');
}

/** The local date on which the night of a UTC second begins, and the noon before it. */
export function nightOf(timeZone: string, utcSec: number): { date: string; noon: number } {
  const today = localDate(timeZone, utcSec);
  const noon = noonOn(timeZone, today);
  if (noon <= utcSec) return { date: today, noon };
  const before = dateAfter(today, -1);
  return { date: before, noon: noonOn(timeZone, before) };
}

/** Nights from one UTC second to another, as intervals between tests are counted; nights begin at local noon. */
export function nightsBetween(timeZone: string, fromSec: number, toSec: number): number {
  return daysBetween(nightOf(timeZone, fromSec).date, nightOf(timeZone, toSec).date);
}
