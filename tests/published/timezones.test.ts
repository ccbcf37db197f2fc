// Source: IANA time zone database 2025b, instants as printed by zdump; the planner cases follow from them.
import { Temporal } from 'temporal-polyfill';
import { describe, expect, it } from 'vitest';
import { noonOf, permittedNights } from '../../host/planner/nights/nights';
import { isTimeZone, offsetRange, utcOf } from '../../host/site/civil';
import type { Site, TestWindow, Weekday } from '../../host/site/model';

const utc = (text: string) => Date.parse(text) / 1000;
const ALL: Weekday[] = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'];

describe('the changes of the clocks in 2026 and 2027 (IANA tz 2025b)', () => {
  it.each([
    ['Europe/London', '2026-03-29T01:00Z', 0, 60],
    ['Europe/London', '2026-10-25T01:00Z', 60, 0],
    ['Europe/London', '2027-03-28T01:00Z', 0, 60],
    ['Europe/London', '2027-10-31T01:00Z', 60, 0],
    ['Europe/Berlin', '2026-03-29T01:00Z', 60, 120],
    ['Europe/Berlin', '2026-10-25T01:00Z', 120, 60],
    ['America/New_York', '2026-03-08T07:00Z', -300, -240],
    ['America/New_York', '2026-11-01T06:00Z', -240, -300],
    ['Australia/Sydney', '2026-10-03T16:00Z', 600, 660],
    ['Australia/Sydney', '2026-04-04T16:00Z', 660, 600],
    ['Australia/Lord_Howe', '2026-10-03T15:30Z', 630, 660],
    ['Australia/Lord_Howe', '2026-04-04T15:00Z', 660, 630],
    ['Pacific/Auckland', '2026-09-26T14:00Z', 720, 780],
    ['Pacific/Auckland', '2026-04-04T14:00Z', 780, 720],
    ['Africa/Cairo', '2026-04-23T22:00Z', 120, 180],
    ['Africa/Cairo', '2026-10-29T21:00Z', 180, 120],
  ])('%s changes at %s', (zone, at, before, after) => {
    const minutes = (seconds: number) =>
      Temporal.Instant.fromEpochMilliseconds(seconds * 1000).toZonedDateTimeISO(zone).offsetNanoseconds /
      6e10;
    expect(minutes(utc(at) - 1)).toBe(before);
    expect(minutes(utc(at))).toBe(after);
    const { least, most } = offsetRange(zone, utc(at) - 1);
    expect([least / 60, most / 60]).toEqual([Math.min(before, after), Math.max(before, after)]);
  });
});

describe('a duration across a change of the clocks (from IANA tz 2025b)', () => {
  it.each([
    ['Europe/London', '2026-10-25', '00:30', 180, '2026-10-25T02:30:00+00:00'],
    ['Europe/Berlin', '2026-03-29', '01:00', 180, '2026-03-29T05:00:00+02:00'],
    ['America/New_York', '2026-11-01', '00:30', 90, '2026-11-01T01:00:00-05:00'],
    ['America/New_York', '2026-03-08', '01:00', 90, '2026-03-08T03:30:00-04:00'],
    ['Australia/Lord_Howe', '2026-04-05', '00:00', 180, '2026-04-05T02:30:00+10:30'],
    ['Europe/London', '2026-03-28', '22:00', 1440, '2026-03-29T23:00:00+01:00'],
    ['Europe/London', '2026-10-24', '22:00', 1440, '2026-10-25T21:00:00+00:00'],
  ])('in %s from %s %s for %i min ends at %s', (zone, date, time, minutes, end) => {
    const [hour, minute] = time.split(':').map(Number);
    const start = utcOf(zone, date, hour * 60 + minute, 'start');
    const local = Temporal.Instant.fromEpochMilliseconds((start + minutes * 60) * 1000).toZonedDateTimeISO(
      zone,
    );
    expect(local.toString({ timeZoneName: 'never' })).toBe(end);
  });
});

describe('a local time that does not exist, or exists twice', () => {
  it('is read so that a window gets shorter, never longer', () => {
    const half = 90;
    // London 2026-03-29 01:30 does not exist; 2026-10-25 01:30 is 00:30Z and again 01:30Z.
    expect(utcOf('Europe/London', '2026-03-29', half, 'start')).toBe(utc('2026-03-29T01:30Z'));
    expect(utcOf('Europe/London', '2026-03-29', half, 'end')).toBe(utc('2026-03-29T00:30Z'));
    expect(utcOf('Europe/London', '2026-10-25', half, 'start')).toBe(utc('2026-10-25T01:30Z'));
    expect(utcOf('Europe/London', '2026-10-25', half, 'end')).toBe(utc('2026-10-25T00:30Z'));
    // Cairo has no midnight on 2026-04-24.
    expect(utcOf('Africa/Cairo', '2026-04-24', 0, 'start')).toBe(utc('2026-04-23T22:00Z'));
  });

  it('a time zone is known by its name only', () => {
    expect(['Europe/London', 'Australia/Lord_Howe', 'UTC'].every(isTimeZone)).toBe(true);
    expect(['Europe/Hollinsea', '+01:00', ''].some(isTimeZone)).toBe(false);
  });
});

function siteIn(timeZone: string, window: Omit<TestWindow, 'days'>): Site {
  return {
    ...({} as Site),
    timeZone,
    windows: [{ days: ALL, ...window }],
    opening: [],
    closedDates: [],
    engineerDays: [],
    noTestDates: [],
  };
}

describe('night windows across a change of the clocks (from IANA tz 2025b)', () => {
  it.each([
    ['Europe/London', '2026-03-28', '2026-03-28T23:00Z', '2026-03-29T04:00Z'],
    ['Europe/London', '2026-10-24', '2026-10-24T22:00Z', '2026-10-25T05:00Z'],
    ['America/New_York', '2026-03-07', '2026-03-08T04:00Z', '2026-03-08T09:00Z'],
    ['America/New_York', '2026-10-31', '2026-11-01T03:00Z', '2026-11-01T10:00Z'],
    ['Australia/Sydney', '2026-04-04', '2026-04-04T12:00Z', '2026-04-04T19:00Z'],
    ['Australia/Sydney', '2026-10-03', '2026-10-03T13:00Z', '2026-10-03T18:00Z'],
    ['Australia/Lord_Howe', '2026-04-04', '2026-04-04T12:00Z', '2026-04-04T18:30Z'],
    ['Australia/Lord_Howe', '2026-10-03', '2026-10-03T12:30Z', '2026-10-03T18:00Z'],
  ])('in %s the window from 23:00 to 05:00 of %s is %s to %s', (zone, date, start, end) => {
    const noon = noonOf(zone, utc(`${date}T00:00Z`));
    const site = siteIn(zone, { from: 23 * 60, to: 5 * 60 });
    const nights = permittedNights(site, noon, utc(`${date}T00:00Z`), utc(`${date}T00:00Z`) + 3 * 86400);
    const spans = nights.map((night) => [night.start, night.end]);
    expect(spans).toContainEqual([utc(start), utc(end)]);
    expect(nights.map((night) => night.night - nights[0].night)).toEqual(nights.map((_, i) => i));
  });

  it('the night number changes at noon of standard time', () => {
    const winter = utc('2026-01-15T00:00Z');
    expect(noonOf('Europe/London', winter)).toBe(12 * 3600);
    expect(noonOf('America/New_York', winter)).toBe(17 * 3600);
    expect(noonOf('Australia/Sydney', winter)).toBe(2 * 3600);
    expect(noonOf('Australia/Lord_Howe', winter)).toBe(1.5 * 3600);
  });

  it('a daytime window that spans noon is cut there, so that no slot falls into two nights', () => {
    const site = siteIn('Europe/London', { from: 8 * 60, to: 14 * 60 });
    const nights = permittedNights(site, 43_200, utc('2026-01-05T00:00Z'), utc('2026-01-06T00:00Z'));
    expect(nights.map((night) => [night.start, night.end])).toEqual([
      [utc('2026-01-05T08:00Z'), utc('2026-01-05T12:00Z')],
      [utc('2026-01-05T12:00Z'), utc('2026-01-05T14:00Z')],
    ]);
  });
});
