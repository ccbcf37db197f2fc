import { expect, test } from 'vitest';
import {
  ageOf,
  clockTime,
  dateIn,
  dateWord,
  dayAndTime,
  exactTime,
  lengthOf,
  nearTime,
  nightSpan,
} from '../../../../host/page/words/time';
import { lengthWord } from '../../../../host/words/length';

const utc = (text: string) => Date.parse(text) / 1000;
const BERLIN = 'Europe/Berlin';

test('an instant is written in the time zone of the site, not of the reader', () => {
  const at = utc('2026-01-06T01:14:05Z');
  expect(exactTime(at, BERLIN)).toBe('02:14:05');
  expect(dayAndTime(at, BERLIN)).toBe('Tue 6 Jan 2026, 02:14');
  expect(dayAndTime(at, 'America/New_York')).toBe('Mon 5 Jan 2026, 20:14');
  expect([dateIn(at, BERLIN), dateIn(at, 'America/New_York')]).toEqual(['2026-01-06', '2026-01-05']);
});

test('midnight is 00:00, never 24:00', () => {
  expect(clockTime(utc('2026-01-05T23:00:00Z'), BERLIN)).toBe('00:00');
});

test('an hour that the clock skips or repeats is written as at the site', () => {
  expect(clockTime(utc('2026-03-29T00:59:00Z'), BERLIN)).toBe('01:59');
  expect(clockTime(utc('2026-03-29T01:00:00Z'), BERLIN)).toBe('03:00');
  expect(clockTime(utc('2026-10-25T00:30:00Z'), BERLIN)).toBe('02:30');
  expect(clockTime(utc('2026-10-25T01:30:00Z'), BERLIN)).toBe('02:30');
});

test('a time today stands alone, any other has its day', () => {
  const now = utc('2026-01-06T10:00:00Z');
  expect(nearTime(utc('2026-01-06T01:14:00Z'), now, BERLIN)).toBe('02:14');
  expect(nearTime(utc('2026-01-05T22:30:00Z'), now, BERLIN)).toBe('Mon 5 Jan 2026, 23:30');
});

test('a window names the second weekday only when it crosses midnight', () => {
  const from = utc('2026-01-05T22:40:00Z');
  expect(nightSpan(from, utc('2026-01-06T01:08:00Z'), BERLIN)).toBe('Mon 23:40 – Tue 02:08');
  expect(nightSpan(utc('2026-01-06T00:00:00Z'), utc('2026-01-06T01:08:00Z'), BERLIN)).toBe(
    'Tue 01:00 – 02:08',
  );
});

test('a length is written as everywhere else, only to the second while it grows', () => {
  expect([0, 59.9, 725, 8999].map(lengthOf)).toEqual(['0 s', '59 s', '12 min 05 s', '2 h 29 min']);
  for (const whole of [60, 90, 120, 300, 3600, 5400, 7200, 9000, 10_800, 86_400])
    expect(lengthOf(whole)).toBe(lengthWord(whole));
  expect(lengthOf(-3)).toBe('0 s');
});

test('a date of the site file is written like every other date', () => {
  expect(dateWord('2026-01-06')).toBe('Tue 6 Jan 2026');
  expect(dateWord('unknown')).toBe('unknown');
});

test('an age is given in its largest unit', () => {
  expect([5, 200, 7200, 500_000].map(ageOf)).toEqual(['5 s ago', '3 min ago', '2 h ago', '5 days ago']);
});
