import { expect, test } from 'vitest';
import { kindName } from '../../../../host/page/words/kinds';
import { circuitState } from '../../../../host/page/words/tone';
import { concerns } from '../../../../host/page/words/urgency';
import { controller, underTest } from '../samples';

test('a limited test says everywhere that it is not the full duration', () => {
  expect(kindName('limited')).toBe('limited duration test (2/3, not the full duration)');
  expect(kindName('full')).toBe('duration test');
  expect(kindName('')).toBe('');
  expect(circuitState(underTest('a', { kind: 'limited' })).word).toBe(
    'Limited duration test (2/3, not the full duration)',
  );
  expect(circuitState(underTest('a', { kind: 'commissioning' })).word).toBe('Commissioning test');
  expect(circuitState(underTest('a')).word).toBe('Duration test');
});

test('an overdue duration test needs attention, whatever limited tests have passed', () => {
  const titles = (fullAt: number) =>
    concerns([controller('a', { fullOverdue: true, fullAt })]).map(({ title }) => title);
  expect([titles(500), titles(0)]).toEqual([['Duration test overdue'], ['Never had a duration test']]);
  expect(concerns([controller('a')])).toEqual([]);
});

test('a hold after its reminder needs attention, a fresh one does not', () => {
  const held = { phase: 'held', sentence: 'Testing is on hold.' };
  expect(concerns([controller('a', { ...held, heldLong: true })])).toMatchObject([
    { title: 'Testing still on hold' },
  ]);
  expect(concerns([controller('a', held)])).toEqual([]);
});
