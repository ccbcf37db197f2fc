// Days as numbers, in words.
import { expect, it } from 'vitest';
import { dateText, isWeekend, monthsOf, timeText } from '../../../host/picture/days';
import { FROM, TO } from './year';

it('names the date and the time of day', () => {
  expect([dateText(FROM), dateText(FROM + 0.99), dateText(TO - 1)]).toEqual([
    '5 Jan 2026',
    '5 Jan 2026',
    '4 Jan 2027',
  ]);
  expect([timeText(FROM), timeText(FROM + 1.05), timeText(FROM + 0.999)]).toEqual([
    '00:00',
    '01:12',
    '23:58',
  ]);
});

it('knows the weekend', () => {
  // 5 January 2026 was a Monday.
  expect(Array.from({ length: 7 }, (_, i) => isWeekend(FROM + i))).toEqual([
    ...[false, false, false, false, false, true, true],
  ]);
});

it('lists the months with a day in the year, including leap days', () => {
  const months = monthsOf(FROM, TO);
  expect(months.map(({ name }) => name)).toEqual([
    ...['January 2026', 'February 2026', 'March 2026', 'April 2026', 'May 2026', 'June 2026', 'July 2026'],
    ...['August 2026', 'September 2026', 'October 2026', 'November 2026', 'December 2026', 'January 2027'],
  ]);
  expect(months.map(({ first, length }) => first + length).slice(0, -1)).toEqual(
    months.slice(1).map(({ first }) => first),
  );
  const leap = monthsOf(Date.UTC(2028, 1, 29) / 86_400_000, Date.UTC(2028, 2, 1) / 86_400_000);
  expect(leap).toEqual([{ name: 'February 2028', first: Date.UTC(2028, 1, 1) / 86_400_000, length: 29 }]);
});
