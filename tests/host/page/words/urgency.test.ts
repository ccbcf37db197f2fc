import { expect, test } from 'vitest';
import { concerns } from '../../../../host/page/words/urgency';
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

test('a controller that began with an empty memory is shown', () => {
  expect(concerns([controller('a', { anewAt: 500 })])).toMatchObject([
    { circuit: 'a', luminaire: '', title: 'Controller began with an empty memory', rank: 4 },
  ]);
});
