import { expect, it } from 'vitest';
import { OrderKind, TestKind } from '../../../firmware/contract/codes';
import type { StateMessage } from '../../../firmware/contract/messages';
import { createWanted } from '../../../host/building/wanted';
import { openLogbook } from '../../../host/logbook/sqlite/open';
import type { Plan } from '../../../host/planner/plan/plan';
import type { CircuitHistory } from '../../../host/planner/planner';
import { testHistory } from '../../../host/records/testHistory';
import { localDate } from '../../../host/site/civil';
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

it('keeps what people have been told when the site file gets a date without tests, and says what moves', () => {
  const { memory } = openLogbook(':memory:');
  const first = createWanted({ site: HOUSE, memory });
  first.refresh(NOW);
  const before = first.plan()!;
  const victim = before.plan.circuits[0].slots.find((slot) => slot.start > NOW + 20 * DAY)!;
  const date = localDate(HOUSE.timeZone, victim.start);
  const said: string[] = [];
  const site = { ...HOUSE, noTestDates: [date] };
  const second = createWanted({ site, memory, onProblem: (sentence) => said.push(sentence) });
  expect(second.refresh(NOW + DAY)).toBe(true);
  const after = second.plan()!;
  expect(after.revision).toBeGreaterThan(before.revision);
  expect(after.plan.until).toBe(before.plan.until);
  const told = (plan: Plan) => plan.circuits.map(({ slots }) => slots.map((slot) => slot.start));
  const moved = told(before.plan).map((starts, i) =>
    starts.filter((utc) => !told(after.plan)[i].includes(utc)),
  );
  for (const utc of moved.flat())
    expect([localDate(site.timeZone, utc), localDate(site.timeZone, utc + DAY / 3)]).toContain(date);
  expect(moved[0]).toContain(victim.start);
  expect(said[0]).toBe('The plan changes:');
  expect(said.slice(1).some((line) => line.startsWith('Circuit a: the '))).toBe(true);
  expect(createWanted({ site, memory }).refresh(NOW + DAY + 60)).toBe(false);
});

it('plans another test a day after one has run out of chances, and lets a passed one be', () => {
  const { memory } = openLogbook(':memory:');
  const passed: Record<string, number> = {};
  const said: string[] = [];
  const history = (circuit: string): CircuitHistory =>
    passed[circuit] ? { lastBrief: passed[circuit], lastFull: passed[circuit] } : {};
  const wanted = createWanted({ site: HOUSE, memory, history, onProblem: (sentence) => said.push(sentence) });
  wanted.refresh(NOW);
  const { plan, revision } = wanted.plan()!;
  const chances = (circuit: string) => {
    const { slots } = plan.circuits.find((own) => own.circuit === circuit)!;
    return slots.filter((slot) => slot.test === slots[0].test);
  };
  const last = (circuit: string) => chances(circuit)[chances(circuit).length - 1].end;
  passed.a = chances('a')[0].start;
  passed.b = chances('b')[0].start - 15 * DAY;
  const over = Math.max(last('a'), last('b')) + DAY;
  expect(over - passed.b).toBeLessThan(45 * DAY);
  expect(wanted.refresh(over - 2 * DAY)).toBe(false);
  expect(wanted.refresh(over + 3600)).toBe(true);
  expect(wanted.plan()!.revision).toBeGreaterThan(revision);
  expect(said[0]).toBe('The plan changes:');
  for (const line of said.slice(1)) expect(line).toMatch(/^Circuit b: a further brief test on /);
  expect(said.length).toBeGreaterThan(1);
  expect(wanted.refresh(over + 7300)).toBe(false);
});
