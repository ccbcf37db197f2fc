import { expect, test } from 'vitest';
import type { RiskEntry, RiskNotice, RiskUnknown } from '../../../../host/api/views';
import { noticePlaces, noticeTitle, takeDownWords } from '../../../../host/page/words/notice';

const FROM = Date.parse('2026-03-12T00:30Z') / 1000;
const risk = (more: Partial<RiskEntry>): RiskEntry => ({
  ...{
    circuit: 'a',
    areas: ['Hall', 'Stair'],
    state: 'planned',
    from: FROM,
    until: FROM + 3660,
    sentence: '',
  },
  ...more,
});
const dark = (circuit: string, areas: string[]): RiskUnknown => ({
  circuit,
  areas,
  heardAt: 0,
  sentence: '',
});
const noticeOf = (entries: RiskEntry[], unknown: RiskUnknown[] = []): RiskNotice => ({
  ...{ at: FROM, entries, unknown, known: 1, ifPowerFails: '' },
});

test('the notice names places and times, and when it may come down', () => {
  const notice = noticeOf([
    risk({}),
    risk({ circuit: 'b', areas: ['Attic'], state: 'recharging', until: FROM + 60 }),
  ]);
  expect(noticePlaces(notice, 'UTC')).toEqual([
    {
      areas: 'Hall, Stair',
      words:
        'The emergency lighting may not work here from Thu 12 Mar 2026, 00:30 until Thu 12 Mar 2026, 01:31.',
    },
    { areas: 'Attic', words: 'The emergency lighting may not work here until Thu 12 Mar 2026, 00:31.' },
  ]);
  expect(takeDownWords(notice, 'Anna', 'UTC')).toBe('Take down after Thu 12 Mar 2026, 01:31.');
});

test('what is not known is said to be not known, and then nobody is told when to take it down', () => {
  const blind = noticeOf([], [dark('a', ['Hall']), dark('b', ['Hall', 'Attic'])]);
  expect(noticeTitle(blind)).toBe('It is not known whether the emergency lighting works');
  expect(noticePlaces(blind, 'UTC')).toEqual([
    { areas: 'Hall, Attic', words: 'It is not known whether the emergency lighting works here.' },
  ]);
  for (const notice of [blind, noticeOf([risk({ until: 0 })]), noticeOf([risk({})], [dark('b', ['Attic'])])])
    expect(takeDownWords(notice, 'Anna', 'UTC')).toBe('Leave this notice up until Anna takes it down.');
});

test('a place that is both recharging and no longer heard of is told once', () => {
  expect(noticePlaces(noticeOf([risk({})], [dark('a', ['Hall', 'Stair'])]), 'UTC')).toHaveLength(1);
});

test('without a risk there is nothing to put up', () => {
  expect(noticeTitle(noticeOf([]))).toBe('The emergency lighting is ready');
  expect(takeDownWords(noticeOf([]), 'Anna', 'UTC')).toBe('No notice has to be put up.');
});
