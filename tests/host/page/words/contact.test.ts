import { expect, test } from 'vitest';
import { contactWords, lineWords, rechargeWords, sensed } from '../../../../host/page/words/contact';
import { controller } from '../samples';

const NOW = Date.parse('2026-01-06T03:00:00Z') / 1000;
const heardAt = Date.parse('2026-01-05T22:10:00Z') / 1000;

test('contact comes with the time it was last proven', () => {
  const words = (contact: 'reporting' | 'late' | 'silent' | 'never heard') =>
    contactWords(controller('a', { contact, heardAt }), NOW, 'UTC');
  expect(words('reporting')).toBe('Reporting, last heard Mon 5 Jan 2026, 22:10');
  expect(words('late')).toBe('Late, last heard Mon 5 Jan 2026, 22:10');
  expect(words('silent')).toBe('Silent since Mon 5 Jan 2026, 22:10');
  expect(words('never heard')).toBe('Never heard from');
});

test('the recharge notice shows only while batteries recharge', () => {
  const charged = NOW + 3600;
  expect(rechargeWords(controller('a', { phase: 'recharging', charged }), NOW, 'UTC')).toBe(
    'Batteries recharging until 04:00',
  );
  expect(rechargeWords(controller('a', { phase: 'recharging', charged: NOW }), NOW, 'UTC')).toBe('');
  expect(rechargeWords(controller('a', { phase: 'full', charged }), NOW, 'UTC')).toBe('');
});

test('the line of a circuit says what keeps it from being ordinary, and nothing more', () => {
  const words = (more: Parameters<typeof controller>[1]) =>
    lineWords(controller('a', { heardAt, ...more }), NOW, 'UTC');
  expect(words({})).toEqual([]);
  expect(
    words({ phase: 'recharging', charged: NOW + 3600, waiting: 'The key switch is set to hold.' }),
  ).toEqual(['Batteries recharging until 04:00.', 'A test cannot start: The key switch is set to hold.']);
  expect(words({ contact: 'late' })).toEqual(['Late, last heard Mon 5 Jan 2026, 22:10.']);
});

test('a supply is on, off or not known, and what a silent controller last said is not shown as present', () => {
  const words = (value: boolean | null, contact: 'reporting' | 'silent' = 'reporting') =>
    sensed(value, ['on', 'off'], controller('a', { contact, heardAt }));
  expect([words(true), words(false), words(null)]).toEqual(['on', 'off', 'not known']);
  expect(words(true, 'silent')).toBe('not known; on when last heard');
  const silent = controller('a', { contact: 'silent', heardAt, phase: 'recharging', charged: NOW + 3600 });
  expect(rechargeWords(silent, NOW, 'UTC')).toBe('');
});
