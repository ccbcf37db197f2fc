import { expect, it } from 'vitest';
import { dayWord, isoUtc, laterWord, momentWord } from '../../../host/words/when';

const at = (text: string): number => Date.parse(text) / 1000;

it("gives instants in the building's time, across a clock change", () => {
  expect(momentWord(at('2026-03-29T00:30Z'), 'Europe/Berlin')).toBe('Sun 29 Mar 2026, 01:30');
  expect(momentWord(at('2026-03-29T01:30Z'), 'Europe/Berlin')).toBe('Sun 29 Mar 2026, 03:30');
  expect(dayWord(at('2026-03-28T23:30Z'), 'Europe/Berlin')).toBe('Sun 29 Mar 2026');
});

it('leaves out the day if it is the same', () => {
  const start = at('2026-01-05T22:00Z');
  expect(laterWord(at('2026-01-05T23:30Z'), start, 'Europe/London')).toBe('23:30');
  expect(laterWord(at('2026-01-06T00:30Z'), start, 'Europe/London')).toBe('Tue 6 Jan, 00:30');
});

it('writes UTC by ISO 8601', () => {
  expect(isoUtc(at('2026-01-05T22:00:07Z'))).toBe('2026-01-05T22:00:07Z');
});
