import { expect, test } from 'vitest';
import { concerns, nextWords, placeOf, sinceWords } from '../../../../host/page/words/urgency';
import { HOUSE } from '../../house/site';
import { controller, lamp, underTest } from '../samples';

test('nothing needs attention while all is well or a test runs', () => {
  expect(concerns([controller('a', { lamps: [lamp('A1')] }), underTest('b')])).toEqual([]);
});

test('the most urgent comes first: supply, tester, silence, luminaires, overdue, never heard', () => {
  const list = concerns([
    controller('f', { contact: 'never heard' }),
    controller('e', { overdue: 2 }),
    controller('d', { lamps: [lamp('D2', { verdict: 'fail', reason: 'not lit after 5 s' }), lamp('D1')] }),
    controller('c', { contact: 'silent', phase: 'fault' }),
    controller('b', { phase: 'fault' }),
    controller('a', { phase: 'charged', redLamp: true }),
  ]);
  expect(list.map((c) => [c.circuit, c.luminaire, c.title])).toEqual([
    ['a', '', 'Supply not confirmed'],
    ['b', '', 'Tester fault'],
    ['c', '', 'Controller silent'],
    ['d', 'D2', 'Luminaire failed'],
    ['e', '', '2 tests overdue'],
    ['f', '', 'Controller never heard from'],
  ]);
  expect(list[3].detail).toBe('Not lit after 5 s.');
});

test('equal concerns are ordered by circuit and luminaire', () => {
  const bad = { verdict: 'fail', reason: 'dark' } as const;
  const list = concerns([
    controller('b', { lamps: [lamp('B1', bad)] }),
    controller('a', { lamps: [lamp('A2', bad), lamp('A1', bad)] }),
  ]);
  expect(list.map((c) => c.luminaire)).toEqual(['A1', 'A2', 'B1']);
});

test('what is left of a circuit beside one that failed is told once', () => {
  const expected = (luminaire: string) => ({
    ...{ luminaire, since: 0, detail: 'Nobody has measured it.', next: 'Accept it.', nextAt: 0 },
  });
  const lamps = [lamp('A1', { verdict: 'fail', reason: 'dark' }), lamp('A2'), lamp('A3')];
  const rows = (...unproven: string[]) =>
    concerns([controller('a', { lamps, unproven: unproven.map(expected) })]).map((one) => one.luminaire);
  expect(rows('A2', 'A3')).toEqual(['A1', '']);
  expect(rows('A3')).toEqual(['A1', 'A3']);
});

test('a controller that began with an empty memory is shown', () => {
  expect(concerns([controller('a', { anewAt: 500 })])).toMatchObject([
    { circuit: 'a', luminaire: '', title: 'Controller began with an empty memory', rank: 4 },
  ]);
});

test('every concern has a next step, and its place', () => {
  const list = concerns([
    controller('a', { contact: 'silent', overdue: 1, fullOverdue: true, anewAt: 5 }),
    controller('a', { contact: 'never heard' }),
    controller('a', { phase: 'outage' }),
    controller('a', { phase: 'fault' }),
    controller('a', { redLamp: true, heldLong: true, lamps: [lamp('A-01', { verdict: 'fail' })] }),
  ]);
  expect(list).toHaveLength(10);
  for (const concern of list) {
    expect(concern.next, concern.title).toMatch(/[a-z]\.$/);
    expect(placeOf(concern, HOUSE.circuits)).toBe(concern.luminaire === '' ? 'a' : 'corridor');
  }
});

test('a concern says since when it lasts, in days, and nothing if that is not known', () => {
  const since = Date.parse('2026-03-03T02:14Z') / 1000;
  const day = 86_400;
  const words = (failedSince: number, now: number) => {
    const [one] = concerns([controller('a', { lamps: [lamp('A1', { verdict: 'fail', failedSince })] })]);
    return sinceWords(one, now, 'UTC');
  };
  expect(words(0, since)).toBe('');
  expect(words(since, since + 3600)).toBe('Since Tue 3 Mar 2026, 02:14');
  expect(words(since, since + day)).toBe('Since Tue 3 Mar 2026, 1 day');
  expect(words(since, since + 9.9 * day)).toBe('Since Tue 3 Mar 2026, 9 days');
});

test('a failed luminaire is to be repaired, then its retest is to be waited for', () => {
  const next = (retests: { luminaire: string; at: number }[]) => {
    const [one] = concerns([controller('a', { retests, lamps: [lamp('A1', { verdict: 'fail' })] })]);
    return nextWords(one, 'UTC');
  };
  const at = Date.parse('2026-03-03T02:14Z') / 1000;
  expect(next([])).toBe('Repair it, then report the repair on its page.');
  expect(next([{ luminaire: 'A2', at }])).toMatch(/^Repair it/);
  expect(next([{ luminaire: 'A1', at }])).toBe('Repaired; wait for the retest on Tue 3 Mar 2026, 02:14.');
  expect(next([{ luminaire: 'A1', at: 0 }])).toBe('Repaired; its retest is being planned.');
});

test('a test that somebody stopped is told once: who, that nothing was judged, and when it is made again', () => {
  const at = Date.parse('2026-03-03T02:14Z') / 1000;
  const stopped = (more: object) => ({
    ...{ kind: 'full' as const, at, by: 'order' as const, who: 'Maren Tollick' },
    ...{ unjudged: 7, luminaires: 7, nextAt: 0, ...more },
  });
  const lamps = [lamp('A1', { attempt: { verdict: 'void', reason: '', at, kind: 'full' } })];
  const told = (more: object, state: object = {}) =>
    concerns([controller('a', { stopped: stopped(more), lamps, ...state })]).map(
      (one) => `${one.title}. ${one.detail} ${nextWords(one, 'UTC')}`,
    );
  expect(told({})).toEqual([
    'Test stopped. Duration test: stopped by Maren Tollick. Nothing was judged. The next try is being planned.',
  ]);
  expect(told({ by: 'key switch', who: '', unjudged: 2, nextAt: at + 86_400 })).toEqual([
    'Test stopped. Duration test: stopped by the key switch. 2 of 7 luminaires not judged. ' +
      'It will be made again on Wed 4 Mar 2026, 02:14.',
  ]);
  expect(told({ who: '' })[0]).toMatch(/stopped by somebody\./);
  // While the next try runs, that is what is told.
  expect(told({}, underTest('a'))).toEqual([]);
});
