// Against the calendar of Europe/Berlin: clocks forward on 29 March 2026 at 01:00 UTC, back on 25 October at 01:00 UTC.
import { expect, it } from 'vitest';
import { inputOf, utcOfInput } from '../../../../host/page/words/localInput';

const utc = (text: string) => Date.parse(text) / 1000;

it.each([
  ['2026-01-31T14:05', '2026-01-31T13:05Z'],
  ['2026-07-31T14:05', '2026-07-31T12:05Z'],
  ['2026-03-29T01:59', '2026-03-29T00:59Z'],
  ['2026-03-29T03:00', '2026-03-29T01:00Z'],
  ['2026-10-25T01:30', '2026-10-24T23:30Z'],
  ['2026-10-25T03:30', '2026-10-25T02:30Z'],
])('%s in Berlin is %s, and back', (local, instant) => {
  expect(utcOfInput(local, 'Europe/Berlin')).toBe(utc(instant));
  expect(inputOf(utc(instant), 'Europe/Berlin')).toBe(local);
});

it('takes the first of a time that comes twice, and an hour later for one that does not come', () => {
  expect(utcOfInput('2026-10-25T02:30', 'Europe/Berlin')).toBe(utc('2026-10-25T00:30Z'));
  expect(inputOf(utcOfInput('2026-03-29T02:30', 'Europe/Berlin'), 'Europe/Berlin')).toBe('2026-03-29T03:30');
});

it('knows what is no time', () => {
  for (const text of ['', 'now', '2026-13-01T00:00', '2026-01-01'])
    expect(utcOfInput(text, 'Europe/Berlin'), text).toBeNaN();
});
