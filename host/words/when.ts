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

function partsOf(utcSec: number, timeZone: string): Record<string, string> {
  const parts = formatOf(timeZone).formatToParts(new Date(utcSec * 1000));
  return Object.fromEntries(parts.map(({ type, value }) => [type, value]));
}

/** "Tue 6 Jan 2026". */
export function dayWord(utcSec: number, timeZone: string): string {
  const { weekday, day, month, year } = partsOf(utcSec, timeZone);
  return `${weekday} ${day} ${month} ${year}`;
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

/** UTC in ISO 8601 down to seconds: "2026-01-06T02:14:00Z". */
export function isoUtc(utcSec: number): string {
  return `${new Date(utcSec * 1000).toISOString().slice(0, 19)}Z`;
}
