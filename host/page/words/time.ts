// Instants as people in the building read them: its own time zone, 24 hours, date with weekday.

import { lengthWord } from '../../words/length';
import { t } from '../tongues/tongue';

const made = new Map<string, Intl.DateTimeFormat>();

/** Of the locale for texts that programs read. */
const FIXED = 'en-GB';

function written(
  utcSec: number,
  zone: string,
  options: Intl.DateTimeFormatOptions,
  locale = t.locale,
): string {
  const key = `${locale} ${zone} ${JSON.stringify(options)}`;
  let format = made.get(key);
  if (!format) {
    format = new Intl.DateTimeFormat(locale, { ...options, timeZone: zone, hourCycle: 'h23' });
    made.set(key, format);
  }
  return format.format(new Date(utcSec * 1000));
}

/** "02:14". */
export function clockTime(utcSec: number, zone: string): string {
  return written(utcSec, zone, { hour: '2-digit', minute: '2-digit' });
}

/** "02:14:05". */
export function exactTime(utcSec: number, zone: string): string {
  return written(utcSec, zone, { hour: '2-digit', minute: '2-digit', second: '2-digit' });
}

/** "Tue 23:40 – Wed 02:08", or "Wed 00:10 – 01:10" within one civil day. */
export function nightSpan(fromSec: number, toSec: number, zone: string): string {
  const weekday = (sec: number) => written(sec, zone, { weekday: 'short' });
  const end = clockTime(toSec, zone);
  const sameDay = dayOf(fromSec, zone) === dayOf(toSec, zone);
  const ending = sameDay ? end : `${weekday(toSec)} ${end}`;
  return `${weekday(fromSec)} ${clockTime(fromSec, zone)} – ${ending}`;
}

/** "Tue 6 Jan 2026". */
export function dayOf(utcSec: number, zone: string): string {
  const day = written(utcSec, zone, { weekday: 'short', day: 'numeric', month: 'short', year: 'numeric' });
  return day.replace(',', '');
}

/** "Tue 6 Jan", without the year. */
export function shortDay(utcSec: number, zone: string): string {
  return written(utcSec, zone, { weekday: 'short', day: 'numeric', month: 'short' }).replace(',', '');
}

/** "January 2026" of the month of a date. */
export function monthWord(utcSec: number): string {
  return written(utcSec, 'UTC', { month: 'long', year: 'numeric' });
}

/** "Tue 6 Jan 2026" of a date as the site file writes it, "2026-01-06"; anything else is left as it is. */
export function dateWord(date: string): string {
  const noon = Date.parse(`${date}T12:00Z`) / 1000;
  return Number.isNaN(noon) ? date : dayOf(noon, 'UTC');
}

/** "2026-01-06". */
export function dateIn(utcSec: number, zone: string): string {
  const numbers = { day: '2-digit', month: '2-digit', year: 'numeric' } as const;
  const [day, month, year] = written(utcSec, zone, numbers, FIXED).split('/');
  return `${year}-${month}-${day}`;
}

/** "02:14" as a browser's input takes it, in any language. */
export function minuteIn(utcSec: number, zone: string): string {
  return written(utcSec, zone, { hour: '2-digit', minute: '2-digit' }, FIXED);
}

/** "Tue 6 Jan 2026, 02:14". */
export function dayAndTime(utcSec: number, zone: string): string {
  return `${dayOf(utcSec, zone)}, ${clockTime(utcSec, zone)}`;
}

/** "02:14" on the civil day of `nowSec`, preceded by the day on any other. */
export function nearTime(utcSec: number, nowSec: number, zone: string): string {
  const sameDay = dayOf(utcSec, zone) === dayOf(nowSec, zone);
  return sameDay ? clockTime(utcSec, zone) : dayAndTime(utcSec, zone);
}

function two(n: number): string {
  return n < 10 ? `0${n}` : String(n);
}

/** As `lengthWord`, but to the second below two hours: "45 s", "12 min 05 s", "3 h". Below zero reads as 0. */
export function lengthOf(seconds: number): string {
  const s = Math.max(0, Math.floor(seconds));
  if (s < 120 || s >= 7200) return lengthWord(s - (s >= 7200 ? s % 60 : 0));
  return s % 60 === 0 ? `${s / 60} min` : `${Math.floor(s / 60)} min ${two(s % 60)} s`;
}

/** Age in its largest unit, s: "12 s ago", "3 min ago", "2 h ago", "5 days ago". */
export function ageOf(seconds: number): string {
  const s = Math.max(0, Math.floor(seconds));
  if (s < 60) return t.time.secondsAgo(s);
  if (s < 3600) return t.time.minutesAgo(Math.floor(s / 60));
  if (s < 172_800) return t.time.hoursAgo(Math.floor(s / 3600));
  return t.time.daysAgo(Math.floor(s / 86_400));
}
