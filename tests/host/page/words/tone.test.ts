import { expect, test } from 'vitest';
import {
  circuitState,
  glow,
  isOnBattery,
  isTesting,
  standing,
  testTone,
  verdictTone,
} from '../../../../host/page/words/tone';
import { controller, lamp, underTest } from '../samples';

test('a circuit without contact is never shown as healthy', () => {
  expect(circuitState(controller('a'))).toEqual({ word: 'Charged', tone: 'good' });
  expect(circuitState(controller('a', { contact: 'silent' }))).toEqual({ word: 'Silent', tone: 'fault' });
  expect(circuitState(controller('a', { contact: 'never heard' })).tone).toBe('idle');
});

test('test and recharge are busy, outage and tester fault are faults', () => {
  const toneOf = (phase: string) => circuitState(controller('a', { phase })).tone;
  expect(['opening', 'brief', 'full', 'restoring', 'recharging', 'held'].map(toneOf)).toEqual(
    Array(6).fill('busy'),
  );
  expect(['outage', 'fault'].map(toneOf)).toEqual(['fault', 'fault']);
  expect(circuitState(controller('a', { phase: 'something new' }))).toEqual({
    word: 'something new',
    tone: 'idle',
  });
});

test('the senses show what runs on battery, but only while the controller reports', () => {
  expect(isOnBattery(underTest('a'))).toBe(true);
  expect(isOnBattery(controller('a', { phase: 'outage', supplyBefore: false, supplyAfter: false }))).toBe(
    true,
  );
  expect(isOnBattery(controller('a', { relayOpen: true }))).toBe(true);
  expect(isOnBattery(controller('a'))).toBe(false);
  expect(isOnBattery(underTest('a', { contact: 'silent' }))).toBe(false);
});

test('a test runs from switching the mains off until its return is proven', () => {
  expect(isTesting(underTest('a'))).toBe(true);
  expect(isTesting(underTest('a', { phase: 'restoring' }))).toBe(true);
  expect(isTesting(controller('a', { phase: 'restoring' }))).toBe(false);
  expect(isTesting(underTest('a', { contact: 'silent' }))).toBe(false);
});

test('a failed duration test stays in force although a later function test passed', () => {
  const aged = lamp('x', { fullVerdict: 'fail', fullSeconds: 2460 });
  expect(standing(aged)).toEqual({
    verdict: 'fail',
    reason: 'failed its last duration test, lit for 41 min',
  });
  expect(standing(lamp('x'))).toEqual({ verdict: 'pass', reason: '' });
  const both = lamp('x', { verdict: 'fail', reason: 'not lit', fullVerdict: 'fail' });
  expect(standing(both).reason).toBe('not lit');
});

test('void and untested are neither good nor a fault', () => {
  expect([verdictTone('void'), verdictTone('untested')]).toEqual(['idle', 'idle']);
  expect([verdictTone('pass'), verdictTone('fail'), verdictTone('open')]).toEqual(['good', 'fault', 'busy']);
  expect([testTone('running'), testTone('pass'), testTone('fail'), testTone('not run')]).toEqual([
    'busy',
    'good',
    'fault',
    'idle',
  ]);
});

test('a lamp under test is lit above the floor, dark under a tenth, dim between', () => {
  const at = (floor: number) => [100, 70, 69, 10, 9, 0].map((percent) => glow(percent, floor));
  expect(at(70)).toEqual(['lit', 'lit', 'dim', 'dim', 'dark', 'dark']);
  expect(at(71)).toEqual(['lit', 'dim', 'dim', 'dim', 'dark', 'dark']);
});
