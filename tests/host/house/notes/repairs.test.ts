// Repairs entered by people, and the tests owed after them.
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { TestKind } from '../../../../firmware/contract/codes';
import type { RepairPart } from '../../../../host/api/views';
import { createDesired } from '../../../../host/house/desired/desired';
import { writeNote } from '../../../../host/house/notes/notes';
import { noteView } from '../../../../host/house/notes/noteView';
import { retestAfter, retestKind, retestOf } from '../../../../host/house/notes/repairs';
import { openLogbook } from '../../../../host/logbook/engines/open';
import type { Logbook } from '../../../../host/logbook/logbook';
import { RETEST_DAYS } from '../../../../host/planner/keep';
import { KEYS, newJournal, resultFields } from '../../logbook/records';
import { listFirst, newLoggedHouse, newMemory } from '../bench';
import { HOUSE } from '../site';

const NOW = 1_770_000_000;
const DAY = 86_400;
const PASS = [1, 0, 3600, 300, 300, 290, 2];
const FAIL = [2, 33, 1200, 300, 300, 0, 2];
const VOID = [3, 20, 0, 0, 0, 0, 0];
const [a, b] = HOUSE.circuits;

let logbook: Logbook;
let journal: ReturnType<typeof newJournal>;
let running: Awaited<ReturnType<typeof newLoggedHouse>>;
let said: string[];
beforeEach(async () => {
  logbook = await openLogbook(':memory:');
  journal = newJournal('demo/a');
  said = [];
  await listFirst(logbook, HOUSE);
  running = await newRunning();
});
afterEach(async () => await logbook.close());

async function newRunning() {
  return await newLoggedHouse(logbook, { onProblem: (sentence) => said.push(sentence) });
}

async function tested(type: TestKind, started: number, ...lamps: number[][]): Promise<void> {
  await logbook.appendBatch([journal.record('result', resultFields(lamps, { type, started }))]);
  await running.follow();
}

async function repaired(retest: TestKind, at: number, luminaires = 'A-01'): Promise<void> {
  const fields = { luminaires, what: 'battery changed', retest };
  await writeNote(logbook, KEYS, { address: 'demo/a', kind: 'repaired', who: 'Anna', at, fields });
  await running.follow();
}

const owed = (circuit = a) => running.house.past.owed(circuit);
const retest = (luminaires: string[], circuit = a) =>
  retestKind(circuit, running.house.past.history.of('a').failedLong, luminaires);

describe('the test owed after a repair', () => {
  it('stays due if the luminaire gets another id', async () => {
    await tested(TestKind.Full, 1000, FAIL, PASS);
    await repaired(TestKind.Full, NOW - 60);
    const [one, two] = a.luminaires;
    const renamed = { ...a, luminaires: [{ ...one, id: 'L-01', formerly: ['A-01'] }, two] };
    const { house, follow } = await newLoggedHouse(logbook, { site: { ...HOUSE, circuits: [renamed, b] } });
    await follow();
    expect(house.view.controller('a', NOW).retests).toEqual([{ luminaire: 'L-01', at: 0 }]);
    expect(house.past.unproven(renamed, 'L-01')).toContain('Anna repaired A-01 (battery changed)');
  });

  it('goes with the luminaire to another circuit, and so does a withdrawal of the repair', async () => {
    await tested(TestKind.Full, 1000, FAIL, PASS);
    await repaired(TestKind.Full, NOW - 60);
    const [one, two] = a.luminaires;
    const [left, home] = [
      { ...a, luminaires: [two] },
      { ...b, luminaires: [...b.luminaires, one] },
    ];
    const { house, follow } = await newLoggedHouse(logbook, { site: { ...HOUSE, circuits: [left, home] } });
    await follow();
    expect(house.view.controller('b', NOW).retests).toEqual([{ luminaire: 'A-01', at: 0 }]);
    expect(house.past.owed(left)).toEqual([]);
    expect(house.past.owed(home)).toHaveLength(1);
    const entry = house.past.notes.of('b').repairs.get('A-01')!.entry;
    const fields = { withdraws: entry, why: 'Wrong luminaire' };
    await writeNote(logbook, KEYS, { address: 'demo/a', kind: 'withdrawn', who: 'Anna', at: NOW, fields });
    await follow();
    expect(house.past.owed(home)).toEqual([]);
  });

  it('stays due for a luminaire that has moved, whatever its new circuit was tested before', async () => {
    await tested(TestKind.Full, 1000, PASS, PASS);
    await repaired(TestKind.Full, NOW - 2 * DAY);
    const other = newJournal('demo/b');
    const testB = async (settings: number, started: number, ...lamps: number[][]) => {
      const fields = { ...resultFields(lamps, { type: TestKind.Full, started }), settings };
      await logbook.appendBatch([other.record('result', fields)]);
    };
    await testB(1, NOW - DAY, PASS);
    const [one, two] = a.luminaires;
    const [left, home] = [
      { ...a, luminaires: [two] },
      { ...b, luminaires: [...b.luminaires, one] },
    ];
    const { house, follow } = await newLoggedHouse(logbook, { site: { ...HOUSE, circuits: [left, home] } });
    await follow();
    expect(house.past.owed(home)).toEqual([{ circuit: 'b', kind: TestKind.Full, from: NOW - 2 * DAY }]);
    expect(house.past.unproven(home, one.id)).toContain('battery changed');
    expect(house.view.controller('b', NOW).retests).toMatchObject([{ luminaire: one.id }]);
    const fields = { revision: 2, luminaires: home.luminaires.map(({ id }) => id).join(' ') };
    await writeNote(logbook, KEYS, { address: 'demo/b', kind: 'listed', who: 'host', at: NOW, fields });
    await testB(2, NOW + DAY, FAIL, VOID);
    await follow();
    expect(house.past.owed(home)).toHaveLength(1);
    await testB(2, NOW + 3 * DAY, VOID, PASS);
    await follow();
    expect([house.past.owed(home), house.past.unproven(home, one.id)]).toEqual([[], '']);
  });

  it('is shown with its date until it has been made', async () => {
    const house = () => running.house.view.controller('a', NOW).retests;
    await tested(TestKind.Full, 1000, FAIL, PASS);
    await repaired(TestKind.Full, NOW - 60);
    expect(house()).toEqual([{ luminaire: 'A-01', at: 0 }]);
    running.refresh(NOW);
    const plan = running.house.desired.plan()!.plan.circuits[0];
    const next = plan.slots.find(({ kind, start }) => kind === TestKind.Full && start > NOW)!;
    expect(house()).toEqual([{ luminaire: 'A-01', at: next.start }]);
    await tested(TestKind.Brief, NOW + 1, PASS, PASS);
    expect(house()).toHaveLength(1);
    await tested(TestKind.Full, NOW + 2, PASS, PASS);
    expect(house()).toEqual([]);
  });

  it('is a function test if no long test has failed', async () => {
    expect(retest(['A-01'])).toBe(TestKind.Brief);
    await tested(TestKind.Full, 1000, FAIL, PASS);
    await tested(TestKind.Full, 2000, PASS, FAIL);
    await tested(TestKind.Brief, 3000, FAIL, FAIL);
    expect(retest(['A-01'])).toBe(TestKind.Brief);
  });

  it('is a long one if a luminaire failed its last long test, whatever was void since', async () => {
    await tested(TestKind.Full, 1000, FAIL, PASS);
    await tested(TestKind.Full, 2000, VOID, VOID);
    await tested(TestKind.Brief, 3000, PASS, PASS);
    expect(retest(['A-02'])).toBe(TestKind.Brief);
    expect(retest(['A-02', 'A-01'])).toBe(TestKind.Full);
    const always = { ...a, alwaysOccupied: true };
    expect(retest(['A-01'], always)).toBe(TestKind.Limited);
    expect([retestOf(always, 'full'), retestOf(a, 'full'), retestOf(a, 'brief')]).toEqual([
      TestKind.Limited,
      TestKind.Full,
      TestKind.Brief,
    ]);
  });

  it('is a long one after a change of battery, lamp, driver or whole luminaire', () => {
    const owedFor = (part: RepairPart) => retestAfter(a, [false, false], ['A-01'], part);
    for (const part of ['battery', 'lamp', 'driver or charger', 'whole luminaire'] as const)
      expect(owedFor(part), part).toBe(TestKind.Full);
    expect(owedFor('other')).toBe(TestKind.Brief);
    expect(retestAfter(a, [true, false], ['A-01'], 'other')).toBe(TestKind.Full);
  });

  it('is owed until a test of its kind has been completed and was not void', async () => {
    expect(owed()).toEqual([]);
    await repaired(TestKind.Brief, 5000);
    await repaired(TestKind.Full, 6000);
    const [brief, full] = [
      { circuit: 'a', kind: TestKind.Brief, from: 5000 },
      { circuit: 'a', kind: TestKind.Full, from: 6000 },
    ];
    expect(owed()).toEqual([full, brief]);
    await tested(TestKind.Full, 7000, VOID, VOID);
    expect(owed()).toEqual([full, brief]);
    await tested(TestKind.Brief, 8000, FAIL, PASS);
    expect(owed()).toEqual([full]);
    await tested(TestKind.Full, 9000, PASS, PASS);
    expect(owed()).toEqual([]);
    expect(owed(b)).toEqual([]);
  });

  it('is a long one after a change of what feeds the lamp, as entered on the page, otherwise as before', async () => {
    const enter = (part: RepairPart, at: number, luminaire = 'A-01') =>
      running.entering.repaired('a', { luminaire, part, who: 'Anna', at });
    expect(await enter('other', 5000)).toEqual({
      ok: true,
      answer: expect.stringMatching(
        /^Recorded: repaired A-01; a function test is due by .+ added to the plan\.$/,
      ),
    });
    expect(owed()).toEqual([{ circuit: 'a', kind: TestKind.Brief, from: 5000 }]);
    expect((await enter('driver or charger', 6000)).answer).toMatch(
      /^Recorded: repaired A-01 \(driver or charger changed\); a duration test is due by /,
    );
    expect(owed()[0]).toEqual({ circuit: 'a', kind: TestKind.Full, from: 6000 });
    expect(await enter('battery', 7000, 'B-01')).toEqual({
      ok: false,
      answer: 'Circuit a has no luminaire B-01.',
    });
    expect(await logbook.entries()).toBe(4);
  });

  it('is shown for that luminaire and no other, while it is owed', async () => {
    const told = (id: string) => running.house.past.unproven(a, id);
    await tested(TestKind.Full, NOW - DAY, FAIL, PASS);
    await repaired(TestKind.Full, NOW);
    expect(told('A-01')).toBe(
      'Anna repaired A-01 (battery changed); a duration test is due by Mon 16 Feb 2026.',
    );
    expect(told('A-02')).toBe('');
    await repaired(TestKind.Brief, NOW + 60, 'A-01 A-02');
    expect(told('A-01')).toMatch(/; a function test is due by/);
    await tested(TestKind.Brief, NOW + DAY, PASS, PASS);
    expect([told('A-01'), told('A-02')]).toEqual(['', '']);
    // A later debt of another luminaire does not make this one untested again.
    await repaired(TestKind.Brief, NOW + 2 * DAY, 'A-02');
    expect([told('A-01'), told('A-02')]).toEqual(['', expect.stringContaining('repaired A-02')]);
  });

  it('is in the log book by name, signed, with its date', async () => {
    await repaired(TestKind.Full, NOW, 'A-01 A-02');
    const [entry] = await logbook.page({ limit: 1 });
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true });
    expect(noteView(entry, 'a', HOUSE.timeZone)).toMatchObject({
      kind: 'repaired',
      text: 'Anna repaired A-01, A-02 (battery changed); a duration test is due by Mon 16 Feb 2026.',
    });
  });
});

describe('the plan', () => {
  it('gets the test a repair asks for in time, once, and says so', async () => {
    await tested(TestKind.Full, NOW - 2 * DAY, FAIL, PASS);
    running.refresh(NOW);
    const at = NOW + 3 * DAY;
    await repaired(TestKind.Full, at);
    expect(running.refresh(at + 60)).toBe(true);
    expect(said[0]).toBe('The plan changes:');
    expect(said.join('\n')).toMatch(/^Circuit a: an additional duration test on .+, due after a repair\.$/m);
    const own = running.house.desired.plan()!.plan.circuits.find((one) => one.circuit === 'a')!;
    const retest = own.slots.find((slot) => slot.kind === TestKind.Full && slot.start >= at)!;
    expect(retest.start - at).toBeLessThanOrEqual(RETEST_DAYS * DAY);
    // Neither the same host nor a restarted one plans it a second time.
    expect(running.refresh(at + 7200)).toBe(false);
    await running.memory.written();
    const again = await newRunning();
    await again.follow();
    expect(again.refresh(at + 10_800)).toBe(false);
    await tested(TestKind.Full, retest.start + 600, PASS, PASS);
    expect(running.refresh(retest.start + 2 * DAY)).toBe(false);
  });

  it('has it from the first plan on, where repairs were entered before there was one', async () => {
    await tested(TestKind.Full, NOW - 2 * DAY, FAIL, PASS);
    await repaired(TestKind.Full, NOW - DAY);
    running.refresh(NOW);
    const own = running.house.desired.plan()!.plan.circuits.find((one) => one.circuit === 'a')!;
    const retest = own.slots.find((slot) => slot.kind === TestKind.Full)!;
    expect(retest.start - NOW).toBeLessThanOrEqual(RETEST_DAYS * DAY);
  });

  it('has no test until a repaired luminaire has charged, and not its retest either', async () => {
    running.refresh(NOW);
    const slots = () => running.house.desired.plan()!.plan.circuits.find((one) => one.circuit === 'a')!.slots;
    const [first] = slots();
    // Told shortly after the plan was last looked at, in the evening before a test.
    const at = first.start - 8 * 3600;
    running.refresh(at - 600);
    await repaired(TestKind.Full, at);
    expect(running.refresh(at + 60)).toBe(true);
    const next = slots().filter((slot) => slot.end > at);
    for (const slot of next) expect(slot.start).toBeGreaterThanOrEqual(at + DAY);
    expect(next.some(({ kind, start }) => kind === TestKind.Full && start <= at + RETEST_DAYS * DAY)).toBe(
      true,
    );
    expect(running.refresh(at + 7200)).toBe(false);
  });

  it('moves a test before which batteries will not be full after an outage, and only that', () => {
    let fullAt = 0;
    const desired = createDesired({
      ...{ site: HOUSE, memory: newMemory() },
      history: () => ({ lastBrief: NOW - 20 * DAY, lastFull: NOW - 100 * DAY }),
      fullAt: (circuit) => (circuit === 'a' ? fullAt : 0),
      onProblem: (sentence) => said.push(sentence),
    });
    desired.refresh(NOW);
    const [first] = desired.plan()!.plan.circuits.find((one) => one.circuit === 'a')!.slots;
    const now = first.start - 7200;
    fullAt = first.start - 60;
    expect(desired.refresh(now - 7200)).toBe(false);
    fullAt = first.start + 12 * 3600;
    expect(desired.refresh(now)).toBe(true);
    const { circuits } = desired.plan()!.plan;
    const next = circuits.find((one) => one.circuit === 'a')!.slots.filter((slot) => slot.end > now);
    for (const slot of next) expect(slot.start).toBeGreaterThanOrEqual(fullAt);
    expect(said.filter((line) => line.startsWith('Circuit a: '))[0]).toContain(
      'because its batteries will not be full by then',
    );
    expect(said.some((line) => line.startsWith('Circuit b: '))).toBe(false);
  });

  it('has no test before batteries are full where the site changes in the meantime', () => {
    const memory = newMemory();
    const history = () => ({ lastBrief: NOW - 20 * DAY, lastFull: NOW - 100 * DAY });
    const slots = (desired: ReturnType<typeof createDesired>) =>
      desired.plan()!.plan.circuits.find((one) => one.circuit === 'a')!.slots;
    const before = createDesired({ site: HOUSE, memory, history });
    before.refresh(NOW);
    const [first] = slots(before);
    const fullAt = first.start + 12 * 3600;
    const circuits = HOUSE.circuits.map((one) => ({ ...one, batteryFitted: '2026-01-30' }));
    const site = { ...HOUSE, circuits };
    const after = createDesired({
      ...{ site, memory, history },
      fullAt: (circuit) => (circuit === 'a' ? fullAt : 0),
    });
    const now = first.start - 7200;
    expect(after.refresh(now)).toBe(true);
    for (const slot of slots(after).filter(({ end }) => end > now))
      expect(slot.start).toBeGreaterThanOrEqual(fullAt);
  });
});
