// A new plan while one is in force: what was announced stays.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import type { Plan, Slot } from '../../../host/planner/plan/plan';
import { makePlan } from '../../../host/planner/planner';
import { type Happened, replan } from '../../../host/planner/replan';
import { profileOf } from '../../../host/profiles/profile';
import { dateAfter, localDate, utcOfLocal } from '../../../host/site/civil';
import { loadSite } from '../../../host/site/load';
import type { Site } from '../../../host/site/model';
import { runs } from '../../support/depth';
import { checkPlan } from './checkPlan';
import { ALL, DRAWN, siteOf, sketch, start } from './smallSite';

const profile = profileOf('en50172');
const DAY = 86400;
const loaded = loadSite('docs/examples/museum-of-tides.yaml');
if ('mistakes' in loaded) throw new Error(loaded.mistakes[0].message);
const museum = loaded.site;
const FROM = utcOfLocal(museum.timeZone, '2026-01-05T09:00');
const inForce = makePlan(museum, profile, FROM, 400);

/** Everything due before an instant passed at its first attempt. */
function passed(plan: Plan, now: number): Happened['history'] {
  const history: Happened['history'] = {};
  for (const { circuit, slots } of plan.circuits) {
    const firsts = slots.filter((slot, i) => slot.test !== slots[i - 1]?.test && slot.start < now);
    const last = (kinds: TestKind[]) => firsts.findLast((slot) => kinds.includes(slot.kind))?.start;
    const lastBrief = last([TestKind.Brief, TestKind.Full]);
    const lastFull = last([TestKind.Full]);
    history[circuit] = { ...(lastBrief && { lastBrief }), ...(lastFull && { lastFull }) };
  }
  return history;
}

const slotsOf = (plan: Plan, circuit: string) => plan.circuits.find((own) => own.circuit === circuit)!.slots;
const span = ({ kind, start, end }: Slot) => `${kind} ${start} ${end}`;

/** Announced attempts that are not over and whose test did not pass at its first attempt. */
function open(plan: Plan, circuit: string, now: number): string[] {
  const slots = slotsOf(plan, circuit);
  const begun = new Set(slots.filter((slot) => slot.start < now).map((slot) => slot.test));
  return slots.filter((slot) => !begun.has(slot.test)).map(span);
}

/** The circuits whose open attempts differ from before. */
function disturbed(before: Plan, after: Plan, now: number): string[] {
  return before.circuits
    .filter(({ circuit }) => {
      const kept = slotsOf(after, circuit)
        .filter((slot) => slot.start < before.until)
        .map(span);
      return open(before, circuit, now).join() !== kept.join();
    })
    .map(({ circuit }) => circuit);
}

/** Everything wrong with a plan except its numbers, which continue from the plan before. */
const wrong = (site: Site, plan: Plan, late = new Set<string>()) =>
  checkPlan(site, plan, { fullCounts: true, late }).filter((text) => !text.includes('numbers do not begin'));

describe('a new plan while one is in force', () => {
  const now = FROM + 60 * DAY;
  const history = passed(inForce, now);

  it('is the current plan if nothing happened', () => {
    const { plan, changes } = replan(museum, profile, inForce, now, 340, { history });
    expect(changes).toEqual([]);
    expect(disturbed(inForce, plan, now)).toEqual([]);
    expect(plan.circuits.map(({ cycle, residue }) => [cycle, residue])).toEqual(
      inForce.circuits.map(({ cycle, residue }) => [cycle, residue]),
    );
  });

  it('gives a test that was void in all its attempts another one soon, and disturbs no other', () => {
    const circuit = 'first-a';
    const slots = slotsOf(inForce, circuit).filter((slot) => slot.kind === TestKind.Full);
    const after = slots[slots.length - 1].end + DAY;
    const failed = passed(inForce, after);
    failed[circuit] = { lastBrief: after - 3 * DAY };
    const { plan, changes } = replan(museum, profile, inForce, after, (inForce.until - after) / DAY, {
      history: failed,
    });
    const [full] = slotsOf(plan, circuit).filter((slot) => slot.kind === TestKind.Full);
    expect(full.start).toBeGreaterThan(after + DAY);
    expect(full.start).toBeLessThan(after + 75 * DAY);
    expect(disturbed(inForce, plan, after)).toEqual([circuit]);
    expect(changes.map((change) => change.circuit)).toEqual([circuit]);
    expect(changes[0].sentence).toMatch(
      /^Circuit first-a: an additional duration test on \w{3} \d+ \w{3} 2026, \d\d:\d\d, because none has been passed yet\.$/,
    );
    expect(wrong(museum, plan)).toEqual([]);
  });

  it('moves only what a new date without tests hits, and says so', () => {
    const victim = inForce.circuits
      .flatMap((own) =>
        own.slots
          .filter((slot, i) => slot.test !== own.slots[i - 1]?.test)
          .map((slot) => ({ ...slot, circuit: own.circuit })),
      )
      .find((slot) => slot.start > now + 30 * DAY)!;
    const date = localDate(museum.timeZone, victim.start);
    const site = { ...museum, noTestDates: [...museum.noTestDates, date] };
    const { plan, changes } = replan(site, profile, inForce, now, 340, { history });
    const hit = inForce.circuits
      .filter((own) =>
        own.slots.some((slot) => slot.start > now && localDate(museum.timeZone, slot.start) === date),
      )
      .map((own) => own.circuit);
    expect(hit).toContain(victim.circuit);
    expect(disturbed(inForce, plan, now).filter((circuit) => !hit.includes(circuit))).toEqual([]);
    expect(new Set(changes.map((change) => change.circuit))).toEqual(new Set(hit));
    for (const { sentence } of changes)
      expect(sentence).toMatch(/tests are no longer allowed that night \(testWindows, noTestDates\)/);
    expect(wrong(site, plan)).toEqual([]);
  });

  it('repeats a test after a repair within a fortnight or soon after', () => {
    const owed = [{ circuit: 'second-a', kind: TestKind.Full, from: now + DAY }];
    const { plan, changes } = replan(museum, profile, inForce, now, 340, { history, owed });
    const [full] = slotsOf(plan, 'second-a').filter((slot) => slot.kind === TestKind.Full);
    expect(full.start).toBeGreaterThan(now + DAY);
    expect(full.start).toBeLessThan(now + 16 * DAY);
    expect(changes.map((change) => change.circuit)).toEqual(['second-a']);
    expect(wrong(museum, plan)).toEqual([]);
  });

  it('adds no test shortly after a first plan for circuits without history', () => {
    for (const date of ['2026-01-05', '2026-05-12', '2026-11-27']) {
      const from = utcOfLocal(museum.timeZone, `${date}T15:00`);
      const first = makePlan(museum, profile, from, 400);
      const { plan, changes } = replan(museum, profile, first, from + 600, 400 - 600 / DAY, { history: {} });
      expect(changes).toEqual([]);
      expect(disturbed(first, plan, from + 600)).toEqual([]);
    }
  });

  it('lets a function test give way to a long one after a repair if all nights are taken, and says why', () => {
    const from = utcOfLocal(museum.timeZone, '2026-11-27T23:28');
    const first = makePlan(museum, profile, from, 400);
    const owed = [{ circuit: 'lower-b', kind: TestKind.Full, from: from + 60 }];
    const again = replan(museum, profile, first, from + 120, 399, { history: {}, owed });
    expect(again.changes.map(({ circuit }) => circuit)).toEqual(['lower-b', 'lower-b']);
    expect(again.changes[0].sentence).toMatch(
      /^Circuit lower-b: the function test of .* a longer test after a repair comes first\.$/,
    );
    const [full] = slotsOf(again.plan, 'lower-b').filter((slot) => slot.kind === TestKind.Full);
    const [before] = slotsOf(first, 'lower-b').filter((slot) => slot.kind === TestKind.Full);
    expect(full.start - from).toBeLessThan(28 * DAY);
    expect(full.start).toBeLessThan(before.start);
    expect(wrong(museum, again.plan, new Set(['lower-b']))).toEqual([]);
    // Called again with nothing new, it stays as it is.
    const third = replan(museum, profile, again.plan, from + 900, 398, { history: {}, owed });
    expect(third.changes).toEqual([]);
  });

  it('makes no attempt before the batteries are full again after an outage, and keeps the later ones', () => {
    const fullAt = Object.fromEntries(museum.circuits.map(({ id }) => [id, now + 12 * DAY]));
    const { plan, changes } = replan(museum, profile, inForce, now, 340, { history, fullAt });
    for (const { slots } of plan.circuits)
      for (const slot of slots) expect(slot.start).toBeGreaterThanOrEqual(now + 12 * DAY);
    for (const { circuit } of inForce.circuits) {
      const later = open(inForce, circuit, now).filter(
        (text) => Number(text.split(' ')[1]) >= now + 12 * DAY,
      );
      expect(slotsOf(plan, circuit).map(span)).toEqual(expect.arrayContaining(later));
    }
    for (const { sentence } of changes) expect(sentence).toContain('its batteries will not be full by then');
  });

  it('continues after the end of the current plan', () => {
    const late = FROM + 301 * DAY;
    const { plan, changes } = replan(museum, profile, inForce, late, 400, { history: passed(inForce, late) });
    for (const { circuit } of inForce.circuits)
      expect(slotsOf(plan, circuit).map(span)).toEqual(expect.arrayContaining(open(inForce, circuit, late)));
    const [last, ...others] = changes.reverse();
    for (const { sentence } of others)
      expect(sentence).toMatch(/ an additional (function|duration) test on .*, due by .*\.$/);
    expect(last.sentence).toMatch(/^The plan continues after Tue 9 Feb 2027 with \d+ more tests\.$/);
    expect(plan.shortfalls).toEqual([]);
    expect(wrong(museum, plan)).toEqual([]);
  });

  it('reports a removed circuit and plans a new one alongside the others', () => {
    const [gone, ...rest] = museum.circuits;
    const fresh = {
      ...gone,
      id: 'fresh',
      name: 'Fresh',
      luminaires: gone.luminaires.map((lamp) => ({ ...lamp, id: `N${lamp.id}` })),
    };
    const site = { ...museum, circuits: [...rest, fresh] };
    const { plan, changes } = replan(site, profile, inForce, now, 340, { history });
    expect(changes[changes.length - 1]).toEqual({
      circuit: gone.id,
      sentence: `Circuit ${gone.id}: no longer planned.`,
    });
    const before = { ...inForce, circuits: inForce.circuits.filter((own) => own.circuit !== gone.id) };
    expect(disturbed(before, plan, now)).toEqual([]);
    expect(slotsOf(plan, 'fresh').length).toBeGreaterThan(10);
    expect(wrong(site, plan)).toEqual([]);
  });
});

describe('a new plan of any small building', () => {
  it('keeps every announced attempt that is still permitted, and every rule', () => {
    fc.assert(
      fc.property(sketch, start, fc.nat({ max: 80 }), fc.nat({ max: 40 }), (drawn, from, day, ahead) => {
        const before = siteOf({ ...drawn, days: drawn.days.length < 4 ? ALL : drawn.days });
        const old = makePlan(before, profile, from, 100);
        const now = from + day * DAY + 12 * 3600;
        const date = localDate(before.timeZone, now + ahead * DAY);
        const site = { ...before, noTestDates: [...before.noTestDates, date] };
        const { plan, changes } = replan(site, profile, old, now, 100, { history: passed(old, now) });
        // A test window that touches the date is skipped entirely, even if a slot in it ends before midnight.
        const touches = (text: string) => {
          const evening = localDate(site.timeZone, Number(text.split(' ')[1]) - DAY / 2);
          const begins = drawn.from < 720 ? dateAfter(evening, 1) : evening;
          const ends = drawn.from + drawn.hours * 60 > 1440 ? dateAfter(begins, 1) : begins;
          return begins === date || ends === date;
        };
        for (const { circuit } of old.circuits) {
          const still = open(old, circuit, now).filter((text) => !touches(text));
          const after = slotsOf(plan, circuit).map(span);
          expect(after).toEqual(expect.arrayContaining(still));
          expect(after.filter(touches)).toEqual([]);
          const moved = open(old, circuit, now).some(touches);
          expect(moved && !changes.some((change) => change.circuit === circuit)).toBe(false);
        }
        // An announced retry stays where it is, even if the test before it has come nearer or gone.
        const late = new Set([...plan.shortfalls, ...changes].flatMap((one) => one.circuit ?? []));
        expect(wrong(site, plan, late)).toEqual([]);
      }),
      { ...DRAWN, numRuns: runs(40) },
    );
  });
});
