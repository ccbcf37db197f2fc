import { expect, test } from 'vitest';
import type { RiskEntry, RiskNotice, RiskUnknown } from '../../../../host/api/views';
import {
  failedAreas,
  type Known,
  noticePlaces,
  noticeTitle,
  takeDownWords,
} from '../../../../host/page/words/notice';
import { HOUSE } from '../../house/site';
import { controller, lamp } from '../samples';

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
const noticeOf = (
  entries: RiskEntry[],
  unknown: RiskUnknown[] = [],
  failed: string[] = [],
  unproven: string[] = [],
): Known => {
  const notice: RiskNotice = { at: FROM, entries, unknown, unproven, known: 1, ifPowerFails: '' };
  return { notice, failed };
};

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

test('a silent circuit without a known end is told among those of which nothing is known', () => {
  const over = noticeOf([risk({ state: 'discharging', until: 0 })], [dark('a', ['Hall', 'Stair'])]);
  expect(noticePlaces(over, 'UTC')).toEqual([
    { areas: 'Hall, Stair', words: 'It is not known whether the emergency lighting works here.' },
  ]);
  expect(takeDownWords(over, 'Anna', 'UTC')).toBe('Leave this notice up until Anna takes it down.');
});

test('without a risk there is nothing to put up, and the lighting is not called ready', () => {
  expect(noticeTitle(noticeOf([]))).toBe(
    'No batteries are discharging or recharging, and no test is planned',
  );
  expect(takeDownWords(noticeOf([]), 'Anna', 'UTC')).toBe('No notice has to be put up.');
});

test('where luminaires have failed the notice says so, until someone takes it down', () => {
  const notice = noticeOf([], [], ['Hall', 'Attic']);
  expect(noticeTitle(notice)).toBe('Some emergency luminaires do not work');
  expect(noticePlaces(notice, 'UTC')).toEqual([
    { areas: 'Hall, Attic', words: 'Some emergency luminaires do not work here.' },
  ]);
  for (const one of [notice, noticeOf([risk({})], [], ['Hall'])])
    expect(takeDownWords(one, 'Anna', 'UTC')).toBe('Leave this notice up until Anna takes it down.');
});

test('a failed luminaire is told of where it stands and where its light is missing', () => {
  const area = (id: string) => ({ ...HOUSE.areas[0], id, name: id.toUpperCase() });
  const [first, second] = HOUSE.circuits;
  const moved = { ...second.luminaires[0], area: 'stair', serves: ['attic'] };
  const building = {
    areas: ['attic', 'hall', 'stair'].map(area),
    circuits: [first, { ...second, luminaires: [moved] }],
  };
  const failed = (...lamps: ReturnType<typeof lamp>[]) =>
    failedAreas(building, [controller('a', { lamps: [lamp('A-01')] }), controller('b', { lamps })]);
  expect(failed(lamp('B-01'))).toEqual([]);
  expect(failed(lamp('B-01', { verdict: 'fail' }))).toEqual(['ATTIC', 'STAIR']);
  expect(failed(lamp('B-01', { fullVerdict: 'fail' }))).toEqual(['ATTIC', 'STAIR']);
});

test('the notice says where nobody knows whether all luminaires work, and stays up until somebody does', () => {
  const notice = noticeOf([], [dark('b', ['Attic'])], [], ['Hall', 'Attic']);
  expect(noticePlaces(notice, 'UTC')).toEqual([
    { areas: 'Attic', words: 'It is not known whether the emergency lighting works here.' },
    { areas: 'Hall', words: 'It is not known whether all emergency luminaires work here.' },
  ]);
  const alone = noticeOf([], [], [], ['Hall']);
  expect(noticeTitle(alone)).toBe('It is not known whether all emergency luminaires work');
  expect(takeDownWords(alone, 'Anna', 'UTC')).toBe('Leave this notice up until Anna takes it down.');
});
