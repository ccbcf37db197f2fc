import { expect, test } from 'vitest';
import { headline, tally } from '../../../../host/page/words/headline';
import { controller, lamp, underTest } from '../samples';

test('a quiet building takes one short line', () => {
  expect(headline([controller('a'), controller('b')])).toBe(
    'All 2 circuits charged. Nothing needs attention.',
  );
});

test('circuits on battery come first, then recharging, charged, and what needs attention', () => {
  const list = [
    underTest('a'),
    underTest('b'),
    controller('c', { phase: 'recharging' }),
    controller('d', { lamps: [lamp('D1', { verdict: 'fail' }), lamp('D2', { verdict: 'fail' })] }),
  ];
  expect(headline(list)).toBe('2 circuits on battery now. 1 recharging. 1 charged. 1 needs attention.');
});

test('a silent controller counts only as needing attention', () => {
  const list = [controller('a'), controller('b', { contact: 'silent' }), controller('c', { phase: 'fault' })];
  expect(headline(list)).toBe('No circuit on battery. 1 charged. 2 need attention.');
});

test('before the first message the page claims nothing', () => {
  expect(headline([])).toBe('No controller has reported yet.');
});

test('the tally leaves out zero counts', () => {
  expect(tally(['pass', 'pass', 'fail'])).toBe('3 luminaires: 2 pass, 1 fail.');
  expect(tally(['untested'])).toBe('1 luminaire: 1 untested.');
  expect(tally([])).toBe('0 luminaires.');
});
