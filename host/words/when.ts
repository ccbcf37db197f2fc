// Instants for people, in the building's local time: date with weekday, 24 hours.

const made = new Map<string, Intl.DateTimeFormat>();

function formatOf(timeZone: string): Intl.DateTimeFormat {
  let format = made.get(timeZone);
  if (!format) {
    format = new Intl.DateTimeFormat('en-GB', {
      ...{ timeZone, weekday: 'short', day: 'numeric', month: 'short', year: 'numeric' },
      ...{ hour: '2-digit', minute: '2-digit', hourCycle: 'h23' },
    });
    made.set(timeZone, format);
  }
  return format;
}

interface Parts {
  weekday: string;
  day: string;
  month: string;
  year: string;
  hour: string;
  minute: string;
}

const QUARTER_MINUTES = 15;
/** Quarters of an hour kept per zone: a large plan names every night of a year many times over. */
const KNOWN_MAX = 50_000;

/** By zone and number of the quarter since 1970, its first minute; null where the clocks change within it. */
const quarters = new Map<string, Map<number, Parts | null>>();

function written(minutes: number, timeZone: string): Parts {
  const parts = formatOf(timeZone).formatToParts(new Date(minutes * 60_000));
  return Object.fromEntries(parts.map(({ type, value }) => [type, value])) as unknown as Parts;
}

/** The first minute of a quarter, if its other minutes differ in nothing but the minute. */
function quarterAt(quarter: number, timeZone: string): Parts | null {
  const first = written(quarter * QUARTER_MINUTES, timeZone);
  const last = written((quarter + 1) * QUARTER_MINUTES - 1, timeZone);
  const isEven = Number(last.minute) - Number(first.minute) === QUARTER_MINUTES - 1;
  return isEven && last.hour === first.hour && last.day === first.day ? first : null;
}

function partsOf(utcSec: number, timeZone: string): Parts {
  const minutes = Math.floor(utcSec / 60);
  const quarter = Math.floor(minutes / QUARTER_MINUTES);
  let known = quarters.get(timeZone);
  if (!known || known.size >= KNOWN_MAX) {
    known = new Map();
    quarters.set(timeZone, known);
  }
  let first = known.get(quarter);
  if (first === undefined) {
    first = quarterAt(quarter, timeZone);
    known.set(quarter, first);
  }
  if (!first) return written(minutes, timeZone);
  const minute = Number(first.minute) + minutes - quarter * QUARTER_MINUTES;
  return { ...first, minute: String(minute).padStart(2, '0') };
}

/** "Tue 6 Jan 2026". */
export function dayWord(utcSec: number, timeZone: string): string {
  const { weekday, day, month, year } = partsOf(utcSec, timeZone);
  return `${weekday} ${day} ${month} ${year}`;
}

/** A date without a time, "2026-01-06", the same way. */
export function dateWord(date: string): string {
  return dayWord(Date.parse(`${date}T12:00Z`) / 1000, 'UTC');
}

/** "02:14". */
export function clockWord(utcSec: number, timeZone: string): string {
  const { hour, minute } = partsOf(utcSec, timeZone);
  return `${hour}:${minute}`;
}

/** "Tue 6 Jan 2026, 02:14". */
export function momentWord(utcSec: number, timeZone: string): string {
  return `${dayWord(utcSec, timeZone)}, ${clockWord(utcSec, timeZone)}`;
}

/** A moment after another: "02:14" on the same day, "Wed 7 Jan, 02:14" on a later one. */
export function laterWord(utcSec: number, thanSec: number, timeZone: string): string {
  if (dayWord(utcSec, timeZone) === dayWord(thanSec, timeZone)) return clockWord(utcSec, timeZone);
  const { weekday, day, month } = partsOf(utcSec, timeZone);
  return `${weekday} ${day} ${month}, ${clockWord(utcSec, timeZone)}`;
}

const HOUR_SEC = 3600;

/** By number of the hour since 1970, its text: "2026-01-06T02:". */
const hoursWritten = new Map<number, string>();

function hourText(hour: number): string {
  let text = hoursWritten.get(hour);
  if (text === undefined) {
    if (hoursWritten.size >= KNOWN_MAX) hoursWritten.clear();
    text = new Date(hour * HOUR_SEC * 1000).toISOString().slice(0, 14);
    hoursWritten.set(hour, text);
  }
  return text;
}

const twoDigits = Array.from({ length: 60 }, (_, n) => String(n).padStart(2, '0'));

/** UTC in ISO 8601 down to seconds: "2026-01-06T02:14:00Z". */
export function isoUtc(utcSec: number): string {
  const second = Math.floor(utcSec);
  const hour = Math.floor(second / HOUR_SEC);
  const inHour = second - hour * HOUR_SEC;
  return `${hourText(hour)}${twoDigits[Math.floor(inHour / 60)]}:${twoDigits[inHour % 60]}Z`;
}
