import { describe, expect, it } from 'vitest';
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

describe('a controller that knows higher numbers', () => {
  const newDesired = () => {
    const [memory, said] = [newMemory(), [] as string[]];
    const make = () =>
      createDesired({ site: HOUSE, memory, onProblem: (sentence) => void said.push(sentence) });
    const desired = make();
    desired.refresh(NOW);
    return { desired, said, make };
  };
  const LAST = 4294967295;

  it('gets plan and settings above them, also after a restart and with the next plan', () => {
    const { desired, make } = newDesired();
    const high = 3000000000;
    desired.outbid('a', { settings: high, plan: high });
    const given = desired.of('a');
    expect([given.settings?.revision, given.plan?.revision]).toEqual([high + 1, high + 1]);
    desired.outbid('a', { settings: high + 1, plan: high + 1 });
    expect(desired.of('a')).toEqual(given);
    const again = make();
    expect(again.of('a').plan?.revision).toBe(high + 1);
    again.refresh(NOW + 301 * DAY);
    expect(again.of('a').plan?.revision).toBe(high + 2);
    expect(again.of('a').plan?.until).toBeGreaterThan(given.plan?.until ?? 0);
  });

  it('changes no number of another circuit', () => {
    const { desired, make } = newDesired();
    const before = [desired.plan()?.revision, desired.of('b')];
    for (const plan of [3000000000, LAST - 1, LAST]) desired.outbid('a', { settings: plan, plan });
    expect([desired.plan()?.revision, desired.of('b')]).toEqual(before);
    const again = make();
    again.refresh(NOW + 301 * DAY);
    // Counted by the clock, as if nothing had happened.
    expect(again.of('b').plan?.revision).toBe(NOW + 301 * DAY - 1767225600);
  });

  it('is named, and left as it is, when it claims the last number there is', () => {
    const { desired, said } = newDesired();
    const before = desired.of('a');
    for (let i = 0; i < 5; i++) expect(desired.outbid('a', { settings: 0, plan: LAST })).toBe(false);
    expect(desired.of('a')).toEqual(before);
    expect(said).toEqual([
      expect.stringMatching(/^The controller of circuit a says it has plan number 4294967295, .*faulty/),
    ]);
    desired.refresh(NOW + 301 * DAY);
    expect(desired.of('a').plan?.revision).toBe(desired.plan()?.revision);
  });

  it('is outbid a few times only, however often it claims more', () => {
    const { desired, said } = newDesired();
    const own = () => desired.of('a').plan?.revision ?? 0;
    for (let i = 0; i < 1000; i++) desired.outbid('a', { settings: 0, plan: own() });
    for (let i = 0; i < 1000; i++) desired.outbid('a', { settings: 0, plan: own() + 7 });
    expect(own()).toBe((desired.plan()?.revision ?? 0) + 10 * 8);
    expect(said).toEqual([expect.stringMatching(/^The controller of circuit a has said 10 times /)]);
    expect(desired.outbid('b', { settings: 0, plan: own() })).toBe(true);
  });
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
