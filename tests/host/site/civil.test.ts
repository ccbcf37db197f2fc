// Civil time, calculated from what is kept per zone, against a fresh call of the Temporal package each time.
import { assert, constantFrom, integer, oneof, property, tuple } from 'fast-check';
import { Temporal } from 'temporal-polyfill';
import { describe, expect, it } from 'vitest';
import {
  civilDays,
  dateAfter,
  daysBetween,
  isoLocal,
  localDate,
  nightOf,
  nightsBetween,
  utcOf,
  utcOfLocal,
  weekdayOf,
} from '../../../host/site/civil';
import { runs } from '../../support/depth';

const ZONES = [
  ...['UTC', 'Europe/London', 'Europe/Dublin', 'America/New_York', 'America/Santiago', 'America/St_Johns'],
  ...['Australia/Sydney', 'Australia/Lord_Howe', 'Pacific/Auckland', 'Pacific/Chatham', 'Pacific/Apia'],
  ...['Africa/Cairo', 'Africa/Casablanca', 'Asia/Kathmandu', 'Asia/Tehran', 'America/Asuncion'],
];
const DAY_SEC = 86_400;
const WEEKDAYS = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'];

const zone = constantFrom(...ZONES);
const SECONDS = { min: Date.UTC(2005, 0) / 1000, max: Date.UTC(2045, 0) / 1000 };

function zoned(timeZone: string, utcSec: number): Temporal.ZonedDateTime {
  return Temporal.Instant.fromEpochMilliseconds(utcSec * 1000).toZonedDateTimeISO(timeZone);
}

/** A zone and a second: any, or one around a clock change. */
const instant = tuple(
  zone,
  integer(SECONDS),
  oneof(constantFrom(-1, 0, 1), integer({ min: -7200, max: 7200 })),
  constantFrom(true, false),
).map(([timeZone, utcSec, beside, isNear]): [string, number] => {
  const change = isNear && zoned(timeZone, utcSec).getTimeZoneTransition('next');
  return [timeZone, change ? change.epochMilliseconds / 1000 + beside : utcSec];
});

function utcByTemporal(timeZone: string, date: string, minute: number, edge: 'start' | 'end'): number {
  const local = Temporal.PlainDate.from(date)
    .toPlainDateTime()
    .add({ days: Math.floor(minute / 1440), minutes: minute % 1440 });
  const disambiguation = edge === 'start' ? 'later' : 'earlier';
  return local.toZonedDateTime(timeZone, { disambiguation }).epochMilliseconds / 1000;
}

describe('civil time', () => {
  it.each([
    ['2026-03-29T11:59', '2026-03-28'],
    ['2026-03-29T12:00', '2026-03-29'],
    ['2026-10-25T11:59', '2026-10-24'],
    ['2026-10-25T12:00', '2026-10-25'],
  ])('begins a night at local noon, also on the day the clocks change: %s', (local, date) => {
    const utcSec = utcOfLocal('Europe/London', local);
    expect(nightOf('Europe/London', utcSec).date).toBe(date);
    expect(nightsBetween('Europe/London', utcOfLocal('Europe/London', '2026-01-01T12:00'), utcSec)).toBe(
      (Date.parse(date) - Date.parse('2026-01-01')) / 86_400_000,
    );
  });

  it('has the local date of every second, exact to the second in which a day or an offset begins', () => {
    assert(
      property(instant, ([timeZone, utcSec]) => {
        expect(localDate(timeZone, utcSec)).toBe(zoned(timeZone, utcSec).toPlainDate().toString());
      }),
      { numRuns: runs(1000) },
    );
  });

  it('has the second of every local minute, including skipped and repeated ones', () => {
    const minute = oneof(integer({ min: 0, max: 2880 }), integer({ min: 0, max: 300 }));
    assert(
      property(instant, minute, constantFrom('start', 'end'), ([timeZone, utcSec], of, edge) => {
        const date = zoned(timeZone, utcSec).toPlainDate().toString();
        expect(utcOf(timeZone, date, of, edge)).toBe(utcByTemporal(timeZone, date, of, edge));
      }),
      { numRuns: runs(2000) },
    );
  });

  it('writes every second in ISO 8601 with the offset of its zone', () => {
    assert(
      property(instant, ([timeZone, utcSec]) => {
        const text = isoLocal(timeZone, utcSec);
        expect(text).toBe(zoned(timeZone, utcSec).toString({ timeZoneName: 'never' }));
        expect(Date.parse(text)).toBe(utcSec * 1000);
      }),
      { numRuns: runs(200) },
    );
  });

  it('counts days and weekdays across the ends of months and leap years', () => {
    assert(
      property(integer(SECONDS), integer({ min: -800, max: 800 }), (utcSec, days) => {
        const date = new Date(utcSec * 1000).toISOString().slice(0, 10);
        const after = Temporal.PlainDate.from(date).add({ days });
        expect(dateAfter(date, days)).toBe(after.toString());
        expect(weekdayOf(after.toString())).toBe(WEEKDAYS[after.dayOfWeek - 1]);
      }),
      { numRuns: runs(500) },
    );
    expect([weekdayOf('1969-12-31'), weekdayOf('0099-01-01')]).toEqual(['wed', 'thu']);
    expect(dateAfter('2028-02-28', 1)).toBe('2028-02-29');
    expect(localDate('Europe/Berlin', Date.UTC(2026, 0, 31, 23) / 1000 + DAY_SEC)).toBe('2026-02-02');
  });
});

it('civil days are those between the local dates, whatever the clocks do in between', () => {
  const zone = constantFrom('Europe/Berlin', 'Pacific/Apia', 'Australia/Lord_Howe', 'America/St_Johns');
  const time = integer({ min: Date.UTC(2011, 11, 1) / 1000, max: Date.UTC(2013, 0, 1) / 1000 });
  assert(
    property(zone, time, time, (timeZone, from, to) => {
      const dates = [from, to].map((at) => localDate(timeZone, at));
      expect(civilDays(timeZone, from, to)).toBe(daysBetween(dates[0], dates[1]));
    }),
  );
});
