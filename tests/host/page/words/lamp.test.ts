import { expect, test } from 'vitest';
import type { LampVerdict } from '../../../../host/api/views';
import {
  attemptWords,
  fullWords,
  milliampsWord,
  provenWords,
  sourceWords,
} from '../../../../host/page/words/lamp';
import { lamp } from '../samples';

const at = Date.parse('2026-03-03T02:14Z') / 1000;
const pass: LampVerdict = { verdict: 'pass', reason: '', at, kind: 'full' };
const empty: LampVerdict = {
  verdict: 'void',
  reason: 'The key switch is set to hold.',
  at: at + 86_400,
  kind: 'brief',
};

test('a void attempt stands beside what was last proven', () => {
  const both = lamp('A1', { verdict: 'void', proven: pass, attempt: empty });
  expect(provenWords(both, 'UTC')).toBe('pass, duration test, Tue 3 Mar 2026, 02:14');
  expect(attemptWords(both, 'UTC')).toBe(
    'void, function test, Wed 4 Mar 2026, 02:14. The key switch is set to hold.',
  );
});

test('without a result nothing is claimed, and one result is not told twice', () => {
  expect([provenWords(undefined, 'UTC'), attemptWords(lamp('A1'), 'UTC')]).toEqual([
    'nothing yet',
    'none yet',
  ]);
  expect(attemptWords(lamp('A1', { proven: pass, attempt: pass }), 'UTC')).toBe('the same');
  expect(fullWords(lamp('A1', { fullSeconds: null }), 'UTC')).toBe('none yet');
  expect(fullWords(lamp('A1', { fullSeconds: 10_800, fullAt: at }), 'UTC')).toBe(
    'pass, lit 3 h, Tue 3 Mar 2026, 02:14',
  );
});

test('no lamp draws less than nothing: noise around zero reads as 0 mA', () => {
  expect([140, 0, -1].map(milliampsWord)).toEqual(['140 mA', '0 mA', '0 mA']);
});

test('currents that nobody has measured are called expected beside their value', () => {
  expect(sourceWords({ isExpected: true })).toContain('only expected');
  expect(sourceWords({})).toBe(', from the site file.');
});
