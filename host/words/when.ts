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

/** The words of a minute, and of those that follow it within a quarter of an hour. */
interface Quarter {
  /** "Tue 6 Jan", and with the year. */
  date: string;
  day: string;
  /** "02:". */
  hour: string;
  /** The minute of the hour at which it begins, and its number since 1970. */
  minute: number;
  from: number;
}

const QUARTER_MINUTES = 15;
/** Quarters of an hour kept per zone: a large plan names every night of a year many times over. */
const KNOWN_MAX = 50_000;

/** By zone and number of the quarter since 1970; null where the clocks change within it. */
const quarters = new Map<string, Map<number, Quarter | null>>();
/** What was asked for last: many questions in turn are about one zone. */
let lastZone = '';
let lastKnown = new Map<number, Quarter | null>();

function written(minutes: number, timeZone: string): Parts {
  const parts = formatOf(timeZone).formatToParts(new Date(minutes * 60_000));
  return Object.fromEntries(parts.map(({ type, value }) => [type, value])) as unknown as Parts;
}

function wordsOf({ weekday, day, month, year, hour, minute }: Parts, from: number): Quarter {
  const date = `${weekday} ${day} ${month}`;
  return { date, day: `${date} ${year}`, hour: `${hour}:`, minute: Number(minute), from };
}

/** The words of a quarter, if its minutes differ in nothing but the minute. */
function quarterAt(quarter: number, timeZone: string): Quarter | null {
  const from = quarter * QUARTER_MINUTES;
  const first = written(from, timeZone);
  const last = written(from + QUARTER_MINUTES - 1, timeZone);
  const isEven = Number(last.minute) - Number(first.minute) === QUARTER_MINUTES - 1;
  return isEven && last.hour === first.hour && last.day === first.day ? wordsOf(first, from) : null;
}

function knownIn(timeZone: string): Map<number, Quarter | null> {
  if (timeZone === lastZone && lastKnown.size < KNOWN_MAX) return lastKnown;
  let known = quarters.get(timeZone);
  if (!known || known.size >= KNOWN_MAX) {
    known = new Map();
    quarters.set(timeZone, known);
  }
  [lastZone, lastKnown] = [timeZone, known];
  return known;
}

function quarterOf(utcSec: number, timeZone: string): Quarter {
  const minutes = Math.floor(utcSec / 60);
  const quarter = Math.floor(minutes / QUARTER_MINUTES);
  const known = knownIn(timeZone);
  let words = known.get(quarter);
  if (words === undefined) {
    words = quarterAt(quarter, timeZone);
    known.set(quarter, words);
  }
  return words ?? wordsOf(written(minutes, timeZone), minutes);
}

const twoDigits = Array.from({ length: 60 }, (_, n) => String(n).padStart(2, '0'));

function clockIn({ hour, minute, from }: Quarter, utcSec: number): string {
  return hour + twoDigits[minute + Math.floor(utcSec / 60) - from];
}

/** "Tue 6 Jan 2026". */
export function dayWord(utcSec: number, timeZone: string): string {
  return quarterOf(utcSec, timeZone).day;
}

/** A date without a time, "2026-01-06", the same way. */
export function dateWord(date: string): string {
  return dayWord(Date.parse(`${date}T12:00Z`) / 1000, 'UTC');
}

/** "02:14". */
export function clockWord(utcSec: number, timeZone: string): string {
  return clockIn(quarterOf(utcSec, timeZone), utcSec);
}

/** "Tue 6 Jan 2026, 02:14". */
export function momentWord(utcSec: number, timeZone: string): string {
  const words = quarterOf(utcSec, timeZone);
  return `${words.day}, ${clockIn(words, utcSec)}`;
}

function laterIn(words: Quarter, utcSec: number, than: Quarter): string {
  const clock = clockIn(words, utcSec);
  return words.day === than.day ? clock : `${words.date}, ${clock}`;
}

/** A moment after another: "02:14" on the same day, "Wed 7 Jan, 02:14" on a later one. */
export function laterWord(utcSec: number, thanSec: number, timeZone: string): string {
  return laterIn(quarterOf(utcSec, timeZone), utcSec, quarterOf(thanSec, timeZone));
}

/** A moment as `momentWord` has it, and two after it as `laterWord` does; for very many lines. */
export function momentWords(
  utcSec: number,
  [second, third]: readonly [number, number],
  timeZone: string,
): readonly [string, string, string] {
  const words = quarterOf(utcSec, timeZone);
  return [
    `${words.day}, ${clockIn(words, utcSec)}`,
    laterIn(quarterOf(second, timeZone), second, words),
    laterIn(quarterOf(third, timeZone), third, words),
  ];
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

/** UTC in ISO 8601 down to seconds: "2026-01-06T02:14:00Z". */
export function isoUtc(utcSec: number): string {
  const second = Math.floor(utcSec);
  const hour = Math.floor(second / HOUR_SEC);
  const inHour = second - hour * HOUR_SEC;
  return `${hourText(hour)}${twoDigits[Math.floor(inHour / 60)]}:${twoDigits[inHour % 60]}Z`;
}
