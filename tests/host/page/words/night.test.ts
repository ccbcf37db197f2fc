import { expect, test } from 'vitest';
import type { TonightTest } from '../../../../host/api/views';
import { nightTitle } from '../../../../host/page/words/night';

const at = (iso: string) => Date.parse(iso) / 1000;
const due = (iso: string): TonightTest => {
  const start = at(iso);
  return { circuit: 'a', test: 1, kind: 'brief', start, end: start + 3600, state: 'due' };
};

test('the list names its night, and does not call another night tonight', () => {
  const sunday = at('2026-12-06T20:00Z');
  const early = [due('2026-12-09T01:00Z'), due('2026-12-08T23:00Z')];
  expect(nightTitle(early, sunday, 'Europe/London')).toBe('Next test night: Tue 8 Dec to Wed 9 Dec 2026');
  for (const now of ['2026-12-08T12:30Z', '2026-12-09T11:30Z'])
    expect(nightTitle(early, at(now), 'Europe/London')).toBe('Tonight’s tests: Tue 8 Dec to Wed 9 Dec 2026');
  expect(nightTitle(early, at('2026-12-08T11:30Z'), 'Europe/London')).toMatch(/^Next test night/);
});

test('a test after midnight belongs to the night that began the evening before, in the building’s own time', () => {
  const one = [due('2026-12-09T01:00Z')];
  expect(nightTitle(one, at('2026-12-09T00:00Z'), 'Europe/London')).toMatch(/: Tue 8 Dec to/);
  expect(nightTitle(one, at('2026-12-09T00:00Z'), 'Asia/Tokyo')).toMatch(/: Tue 8 Dec to/);
  expect(nightTitle([due('2026-12-09T05:00Z')], at('2026-12-09T00:00Z'), 'Asia/Tokyo')).toMatch(
    /: Wed 9 Dec to/,
  );
  expect(nightTitle([], 0, 'UTC')).toBe('Tonight’s tests');
});
