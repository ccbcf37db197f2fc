// Instants for people, in the building's local time: date with weekday, 24 hours.

const numbers = new Map<string, Intl.DateTimeFormat>();

/** Writes local times in numbers. */
function numbersIn(timeZone: string): Intl.DateTimeFormat {
  let format = numbers.get(timeZone);
  if (!format) {
    format = new Intl.DateTimeFormat('en-GB', {
      ...{ timeZone, year: 'numeric', month: 'numeric', day: 'numeric' },
      ...{ hour: 'numeric', minute: 'numeric', hourCycle: 'h23' },
    });
    numbers.set(timeZone, format);
  }
  return format;
}

/** Clocks hardly ever change within so many minutes. */
const SPELL_MINUTES = 360;
/** Spells kept per zone, and days: a large plan names every night of a year many times over. */
const KNOWN_MAX = 50_000;

/** By zone and number of the spell since 1970, the minutes by which local time is ahead; NaN where that changes within it. */
const spells = new Map<string, Map<number, number>>();
/** What was asked for last: many questions in turn are about one zone. */
let lastZone = '';
let lastKnown = new Map<number, number>();

/** The number of minutes from 1970 to a local time as the clocks show it at this many minutes in UTC. */
function localMinutes(minutes: number, timeZone: string): number {
  const at: Record<string, number> = {};
  for (const { type, value } of numbersIn(timeZone).formatToParts(minutes * 60_000)) at[type] = Number(value);
  return Date.UTC(at.year, at.month - 1, at.day, at.hour, at.minute) / 60_000;
}

function knownIn(timeZone: string): Map<number, number> {
  if (timeZone === lastZone && lastKnown.size < KNOWN_MAX) return lastKnown;
  let known = spells.get(timeZone);
  if (!known || known.size >= KNOWN_MAX) {
    known = new Map();
    spells.set(timeZone, known);
  }
  [lastZone, lastKnown] = [timeZone, known];
  return known;
}

function aheadIn(spell: number, timeZone: string): number {
  const first = spell * SPELL_MINUTES;
  const last = first + SPELL_MINUTES - 1;
  const ahead = localMinutes(first, timeZone) - first;
  return localMinutes(last, timeZone) - last === ahead ? ahead : Number.NaN;
}

/** `localMinutes` of a UTC second; the machine is asked only where the clocks change. */
function localAt(utcSec: number, timeZone: string): number {
  const minutes = Math.floor(utcSec / 60);
  const spell = Math.floor(minutes / SPELL_MINUTES);
  const known = knownIn(timeZone);
  let ahead = known.get(spell);
  if (ahead === undefined) {
    ahead = aheadIn(spell, timeZone);
    known.set(spell, ahead);
  }
  return Number.isNaN(ahead) ? localMinutes(minutes, timeZone) : minutes + ahead;
}

const DAY_MINUTES = 1440;

/** "Tue 6 Jan", and with the year. */
interface Day {
  date: string;
  full: string;
}

/** By number of the day since 1970. */
const days = new Map<number, Day>();
let dates: Intl.DateTimeFormat | undefined;

function written(day: number): Day {
  dates ??= new Intl.DateTimeFormat('en-GB', {
    ...{ timeZone: 'UTC', weekday: 'short', day: 'numeric', month: 'short', year: 'numeric' },
  });
  const said: Record<string, string> = {};
  for (const { type, value } of dates.formatToParts(day * DAY_MINUTES * 60_000)) said[type] = value;
  const date = `${said.weekday} ${said.day} ${said.month}`;
  return { date, full: `${date} ${said.year}` };
}

function dayOf(local: number): Day {
  const number = Math.floor(local / DAY_MINUTES);
  let day = days.get(number);
  if (!day) {
    if (days.size >= KNOWN_MAX) days.clear();
    day = written(number);
    days.set(number, day);
  }
  return day;
}

const twoDigits = Array.from({ length: 60 }, (_, n) => String(n).padStart(2, '0'));

/** By minute of the day, "02:14". */
const clocks: string[] = [];

function clockOf(local: number): string {
  const minute = local - Math.floor(local / DAY_MINUTES) * DAY_MINUTES;
  clocks[minute] ??= `${twoDigits[Math.floor(minute / 60)]}:${twoDigits[minute % 60]}`;
  return clocks[minute];
}

/** "Tue 6 Jan 2026". */
export function dayWord(utcSec: number, timeZone: string): string {
  return dayOf(localAt(utcSec, timeZone)).full;
}

/** A date without a time, "2026-01-06", the same way. */
export function dateWord(date: string): string {
  return dayWord(Date.parse(`${date}T12:00Z`) / 1000, 'UTC');
}

/** "02:14". */
export function clockWord(utcSec: number, timeZone: string): string {
  return clockOf(localAt(utcSec, timeZone));
}

/** "Tue 6 Jan 2026, 02:14". */
export function momentWord(utcSec: number, timeZone: string): string {
  const local = localAt(utcSec, timeZone);
  return `${dayOf(local).full}, ${clockOf(local)}`;
}

function laterIn(local: number, than: Day): string {
  const day = dayOf(local);
  return day.full === than.full ? clockOf(local) : `${day.date}, ${clockOf(local)}`;
}

/** A moment after another: "02:14" on the same day, "Wed 7 Jan, 02:14" on a later one. */
export function laterWord(utcSec: number, thanSec: number, timeZone: string): string {
  const than = dayOf(localAt(thanSec, timeZone));
  return laterIn(localAt(utcSec, timeZone), than);
}

/** A moment as `momentWord` has it, and two after it as `laterWord` does; for very many lines. */
export function momentWords(
  utcSec: number,
  [second, third]: readonly [number, number],
  timeZone: string,
): readonly [string, string, string] {
  const local = localAt(utcSec, timeZone);
  const day = dayOf(local);
  return [
    `${day.full}, ${clockOf(local)}`,
    laterIn(localAt(second, timeZone), day),
    laterIn(localAt(third, timeZone), day),
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
