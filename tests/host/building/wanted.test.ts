import { expect, it } from 'vitest';
import { OrderKind, TestKind } from '../../../firmware/contract/codes';
import type { StateMessage } from '../../../firmware/contract/messages';
import { testHistory } from '../../../host/building/testHistory';
import { createWanted } from '../../../host/building/wanted';
import { openLogbook } from '../../../host/logbook/sqlite/open';
import { newJournal, resultFields } from '../logbook/records';
import { HOUSE } from './house';

const NOW = 1770000000;
const DAY = 86400;
const knows = (settings: number, plan: number) => ({ settings, plan }) as StateMessage;

it('gives the same revisions after a restart, and new ones only when something changes', () => {
  const { memory } = openLogbook(':memory:');
  const first = createWanted({ site: HOUSE, memory });
  expect(first.refresh(NOW)).toBe(true);
  expect(first.refresh(NOW + DAY)).toBe(false);
  const before = first.desired('a');
  expect(before.plan?.slots.length).toBeGreaterThan(0);
  const again = createWanted({ site: HOUSE, memory });
  expect(again.refresh(NOW + DAY)).toBe(false);
  expect(again.desired('a').settings).toEqual(before.settings);
  expect(again.desired('a').plan?.revision).toBe(before.plan?.revision);
  const renamed = createWanted({ site: { ...HOUSE, name: 'Another name' }, memory });
  expect(renamed.refresh(NOW + 2 * DAY)).toBe(false);
});

it('numbers a changed circuit higher, and only that one', () => {
  const { memory } = openLogbook(':memory:');
  const first = createWanted({ site: HOUSE, memory });
  first.refresh(NOW);
  const [a, b] = HOUSE.circuits;
  const brighter = { ...a, luminaires: a.luminaires.map((lamp) => ({ ...lamp, batteryMilliamps: 400 })) };
  const second = createWanted({ site: { ...HOUSE, circuits: [brighter, b] }, memory });
  expect(second.refresh(NOW + 60)).toBe(true);
  const revision = (wanted: typeof first, circuit: string) => wanted.desired(circuit).settings?.revision ?? 0;
  expect(revision(second, 'a')).toBeGreaterThan(revision(first, 'a'));
  expect(revision(second, 'b')).toBe(revision(first, 'b'));
});

it('makes a new plan before the old one runs out', () => {
  const { memory } = openLogbook(':memory:');
  const wanted = createWanted({ site: HOUSE, memory });
  wanted.refresh(NOW);
  const first = wanted.plan();
  expect(wanted.refresh(NOW + 299 * DAY)).toBe(false);
  expect(wanted.refresh(NOW + 301 * DAY)).toBe(true);
  expect(wanted.plan()?.revision).toBeGreaterThan(first?.revision ?? 0);
  expect(wanted.plan()?.plan.until).toBe(NOW + 701 * DAY);
});

it('numbers above a controller that knows a host whose memory is lost', () => {
  const { memory } = openLogbook(':memory:');
  const wanted = createWanted({ site: HOUSE, memory });
  wanted.refresh(NOW);
  const high = 3000000000;
  const desired = wanted.desired('a', knows(high, high));
  expect([desired.settings?.revision, desired.plan?.revision]).toEqual([high + 1, high + 1]);
  expect(wanted.desired('a', knows(high + 1, high + 1))).toEqual(desired);
  expect(createWanted({ site: HOUSE, memory }).desired('b').plan?.revision).toBe(high + 1);
});

it('finds the last completed tests in the log book and leaves void ones out', () => {
  const logbook = openLogbook(':memory:');
  const journal = newJournal('demo/a');
  const pass = [[1, 0, 90, 300, 300, 290, 2]];
  const nothing = [[3, 20, 0, 0, 0, 0, 0]];
  const result = (lamps: number[][], type: TestKind, started: number) =>
    journal.record('result', resultFields(lamps, { type, started }));
  logbook.appendBatch([
    result(pass, TestKind.Full, 1000),
    result(pass, TestKind.Brief, 2000),
    result(nothing, TestKind.Full, 3000),
    journal.record('order', { counter: 1, do: OrderKind.Restore, arg: 0, reason: 0, who: 'Anna' }),
  ]);
  expect(testHistory(logbook, 'demo/a')).toEqual({ lastFull: 1000, lastBrief: 2000 });
  expect(testHistory(logbook, 'demo/b')).toEqual({});
  logbook.close();
});
