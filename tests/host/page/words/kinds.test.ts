import { expect, test } from 'vitest';
import { kindName } from '../../../../host/page/words/kinds';
import { circuitState } from '../../../../host/page/words/tone';
import { concerns } from '../../../../host/page/words/urgency';
import { controller, underTest } from '../samples';

test('a limited test says everywhere that it is no full test', () => {
  expect(kindName('limited')).toBe('limited test (2/3), not a full test');
  expect(kindName('full')).toBe('full test');
  expect(kindName('')).toBe('');
  expect(circuitState(underTest('a', { kind: 'limited' })).word).toBe('Limited test (2/3), not a full test');
  expect(circuitState(underTest('a', { kind: 'commissioning' })).word).toBe('Commissioning test');
  expect(circuitState(underTest('a')).word).toBe('Full test');
});

test('an overdue duration test needs attention, whatever limited tests have passed', () => {
  expect(concerns([controller('a', { fullOverdue: true })])).toMatchObject([{ title: 'Full test overdue' }]);
  expect(concerns([controller('a')])).toEqual([]);
});

test('a hold after its reminder needs attention, a fresh one does not', () => {
  const held = { phase: 'held', sentence: 'Testing is held.' };
  expect(concerns([controller('a', { ...held, heldLong: true })])).toMatchObject([
    { title: 'Testing still held' },
  ]);
  expect(concerns([controller('a', held)])).toEqual([]);
});
