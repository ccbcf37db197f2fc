import { expect, it } from 'vitest';
import { createDesired } from '../../../../host/house/desired/desired';
import type { Plan } from '../../../../host/planner/plan/plan';
import type { CircuitHistory } from '../../../../host/planner/planner';
import { localDate } from '../../../../host/site/civil';
import { newMemory } from '../bench';
import { HOUSE } from '../site';

const NOW = 1770000000;
const DAY = 86400;

it('gives the same revisions after a restart, and new ones only when something changes', () => {
  const memory = newMemory();
  const first = createDesired({ site: HOUSE, memory });
  expect(first.refresh(NOW)).toBe(true);
  expect(first.refresh(NOW + DAY)).toBe(false);
  const before = first.of('a');
  expect(before.plan?.slots.length).toBeGreaterThan(0);
  const again = createDesired({ site: HOUSE, memory });
  expect(again.refresh(NOW + DAY)).toBe(false);
  expect(again.of('a').settings).toEqual(before.settings);
  expect(again.of('a').plan?.revision).toBe(before.plan?.revision);
  const renamed = createDesired({ site: { ...HOUSE, name: 'Another name' }, memory });
  expect(renamed.refresh(NOW + 2 * DAY)).toBe(false);
});

it('gives a changed circuit a higher number, and only that one', () => {
  const memory = newMemory();
  const first = createDesired({ site: HOUSE, memory });
  first.refresh(NOW);
  const [a, b] = HOUSE.circuits;
  const brighter = { ...a, luminaires: a.luminaires.map((lamp) => ({ ...lamp, batteryMilliamps: 400 })) };
  const second = createDesired({ site: { ...HOUSE, circuits: [brighter, b] }, memory });
  expect(second.refresh(NOW + 60)).toBe(true);
  const revision = (desired: typeof first, circuit: string) => desired.of(circuit).settings?.revision ?? 0;
  expect(revision(second, 'a')).toBeGreaterThan(revision(first, 'a'));
  expect(revision(second, 'b')).toBe(revision(first, 'b'));
});

it('makes a new plan before the old one runs out', () => {
  const memory = newMemory();
  const desired = createDesired({ site: HOUSE, memory });
  desired.refresh(NOW);
  const first = desired.plan();
  expect(desired.refresh(NOW + 299 * DAY)).toBe(false);
  expect(desired.refresh(NOW + 301 * DAY)).toBe(true);
  expect(desired.plan()?.revision).toBeGreaterThan(first?.revision ?? 0);
  expect(desired.plan()?.plan.until).toBe(NOW + 701 * DAY);
});

it('counts above the revision a controller knows from a host that lost its memory', () => {
  const memory = newMemory();
  const desired = createDesired({ site: HOUSE, memory });
  desired.refresh(NOW);
  const high = 3000000000;
  desired.outbid('a', { settings: high, plan: high });
  const given = desired.of('a');
  expect([given.settings?.revision, given.plan?.revision]).toEqual([high + 1, high + 1]);
  desired.outbid('a', { settings: high + 1, plan: high + 1 });
  expect(desired.of('a')).toEqual(given);
  expect(createDesired({ site: HOUSE, memory }).of('b').plan?.revision).toBe(high + 1);
});

it('keeps announced slots when a date without tests is added to the site file, and says what moves', () => {
  const memory = newMemory();
  const first = createDesired({ site: HOUSE, memory });
  first.refresh(NOW);
  const before = first.plan()!;
  const victim = before.plan.circuits[0].slots.find((slot) => slot.start > NOW + 20 * DAY)!;
  const date = localDate(HOUSE.timeZone, victim.start);
  const said: string[] = [];
  const site = { ...HOUSE, noTestDates: [date] };
  const second = createDesired({ site, memory, onProblem: (sentence) => said.push(sentence) });
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
  expect(createDesired({ site, memory }).refresh(NOW + DAY + 60)).toBe(false);
});

it('plans another test the day after one has used up its attempts, and leaves a passed one alone', () => {
  const memory = newMemory();
  const passed: Record<string, number> = {};
  const said: string[] = [];
  const history = (circuit: string): CircuitHistory =>
    passed[circuit] ? { lastBrief: passed[circuit], lastFull: passed[circuit] } : {};
  const desired = createDesired({
    site: HOUSE,
    memory,
    history,
    onProblem: (sentence) => said.push(sentence),
  });
  desired.refresh(NOW);
  const { plan, revision } = desired.plan()!;
  const chances = (circuit: string) => {
    const { slots } = plan.circuits.find((own) => own.circuit === circuit)!;
    return slots.filter((slot) => slot.test === slots[0].test);
  };
  const last = (circuit: string) => chances(circuit)[chances(circuit).length - 1].end;
  passed.a = chances('a')[0].start;
  passed.b = chances('b')[0].start - 15 * DAY;
  const over = Math.max(last('a'), last('b')) + DAY;
  expect(over - passed.b).toBeLessThan(45 * DAY);
  expect(desired.refresh(over - 2 * DAY)).toBe(false);
  expect(desired.refresh(over + 3600)).toBe(true);
  expect(desired.plan()!.revision).toBeGreaterThan(revision);
  expect(said[0]).toBe('The plan changes:');
  for (const line of said.slice(1)) expect(line).toMatch(/^Circuit b: an additional function test on /);
  expect(said.length).toBeGreaterThan(1);
  expect(desired.refresh(over + 7300)).toBe(false);
});
