import { expect, it } from 'vitest';
import { dayWord, isoUtc, laterWord, momentWord, momentWords } from '../../../host/words/when';

const at = (text: string): number => Date.parse(text) / 1000;

it("gives instants in the building's time, across a clock change", () => {
  expect(momentWord(at('2026-03-29T00:30Z'), 'Europe/Berlin')).toBe('Sun 29 Mar 2026, 01:30');
  expect(momentWord(at('2026-03-29T01:30Z'), 'Europe/Berlin')).toBe('Sun 29 Mar 2026, 03:30');
  expect(dayWord(at('2026-03-28T23:30Z'), 'Europe/Berlin')).toBe('Sun 29 Mar 2026');
});

it.each([
  'Europe/London',
  'Australia/Lord_Howe',
  'Asia/Kathmandu',
  // Its clocks changed a minute after midnight until 2011.
  'America/St_Johns',
  'Pacific/Apia',
])('names every minute around a change of the clocks as the machine does, in %s', (timeZone) => {
  const plain = new Intl.DateTimeFormat('en-GB', {
    ...{ timeZone, weekday: 'short', day: 'numeric', month: 'short', year: 'numeric' },
    ...{ hour: '2-digit', minute: '2-digit', hourCycle: 'h23' },
  });
  const days = [
    '1971-06-01',
    '2010-03-14',
    '2010-11-07',
    '2011-12-30',
    '2026-03-29',
    '2026-04-05',
    '2026-10-25',
  ];
  for (const day of days)
    for (let sec = at(`${day}T00:00Z`) - 43_200; sec < at(`${day}T00:00Z`) + 86_400; sec += 127) {
      const word = plain.format(sec * 1000).replace(/^(\w+),/, '$1');
      expect(momentWord(sec, timeZone)).toBe(word);
    }
});

it('leaves out the day if it is the same', () => {
  const start = at('2026-01-05T22:00Z');
  expect(laterWord(at('2026-01-05T23:30Z'), start, 'Europe/London')).toBe('23:30');
  expect(laterWord(at('2026-01-06T00:30Z'), start, 'Europe/London')).toBe('Tue 6 Jan, 00:30');
});

it('gives three moments of one line as one by one', () => {
  const moments = ['2026-03-28T23:20Z', '2026-03-29T00:59Z', '2026-03-29T23:00Z'].map(at);
  const [start, end, full] = moments;
  for (const zone of ['Europe/London', 'Australia/Lord_Howe'])
    expect(momentWords(start, [end, full], zone)).toEqual([
      momentWord(start, zone),
      laterWord(end, start, zone),
      laterWord(full, start, zone),
    ]);
});

it('writes UTC by ISO 8601', () => {
  expect(isoUtc(at('2026-01-05T22:00:07Z'))).toBe('2026-01-05T22:00:07Z');
});
