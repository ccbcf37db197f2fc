// A year and a month of the demonstration site through the command line: every working luminaire tested in
// time, every planted fault found in its place and with its cause, and nothing else.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import { readPast } from '../../host/house/past';
import { luminaireHistory } from '../../host/house/view/luminaireHistory';
import { seededKeys } from '../../host/keys';
import { openLogbook } from '../../host/logbook/engines/open';
import { makePlan } from '../../host/planner/planner';
import { profileOf } from '../../host/profiles/profile';
import { fleetSpecOf, startUtcMs } from '../../host/rehearse/estate';
import { loadSite } from '../../host/site/load';
import type { PlantedFault, Site } from '../../host/site/model';
import { DEMO_SITE, type Outcome, run } from './support/cli';
import { type Judged, judgements, type Line, readLines } from './support/records';

const DAYS = 400;
const SEED = 7;
const YEAR = ['simulate', '--days', String(DAYS), '--json', '--seed'];
const MONTH = ['simulate', '--days', '30', '--json', '--seed'];

const loaded = loadSite(DEMO_SITE);
if (!('site' in loaded)) throw new Error('The demonstration site has mistakes.');
const site: Site = loaded.site;
const startSec = startUtcMs(site) / 1000;
const all = site.circuits.flatMap((circuit) => circuit.luminaires.map((lamp) => lamp.id));

let folder: string;
let db: string;
let kept: Outcome;
let again: Outcome;
/** A month under each of two seeds. */
let months: Outcome[];
let lines: Line[];
let judged: Judged[];

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-year-'));
  db = join(folder, 'year.db');
  [kept, again] = await Promise.all([run(...YEAR, String(SEED), '--db', db), run(...YEAR, String(SEED))]);
  months = await Promise.all([SEED, SEED + 1].map((seed) => run(...MONTH, String(seed))));
  lines = await readLines(db);
  judged = judgements(site, lines);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Judgements on a luminaire, oldest first; only from tests that began on `fromDay` or later. */
function ofLamp(luminaire: string, fromDay = 0): Judged[] {
  return judged.filter((j) => j.luminaire === luminaire && j.at >= startSec + fromDay * 86400);
}

function dayOf(at: number): number {
  return (at - startSec) / 86400;
}

function expectBetween(value: number, least: number, most: number): void {
  expect(value).toBeGreaterThanOrEqual(least);
  expect(value).toBeLessThanOrEqual(most);
}

function isDark(j: Judged): boolean {
  return j.verdict === Verdict.Fail && j.reason === Reason.NotLitAtFiveSeconds;
}

async function diagnosisOf(luminaire: string): Promise<string> {
  const circuit = site.circuits.find((c) => c.luminaires.some((lamp) => lamp.id === luminaire))!;
  const index = circuit.luminaires.findIndex((lamp) => lamp.id === luminaire);
  const logbook = await openLogbook(db);
  try {
    const results = await logbook.results(`${site.id}/${circuit.id}`, 200);
    const { notes } = await readPast(logbook, site, seededKeys(SEED));
    return luminaireHistory(circuit, index, results, site.timeZone, notes.listed).diagnosis;
  } finally {
    await logbook.close();
  }
}

/** Records of one kind and reason, as [circuit, day]. */
function events(kind: string, reason: Reason): { circuit: string; day: number; arg: number }[] {
  return lines.flatMap(({ circuit, record, entry }) =>
    record.kind === kind && 'arg' in record && record.reason === reason
      ? [{ circuit, day: dayOf(entry.at), arg: record.arg }]
      : [],
  );
}

/** Spans in which someone is in a circuit's area, UTC seconds: the simulator's own list. */
function visitsTo(circuit: string): { from: number; to: number }[] {
  const profile = profileOf(site.profile);
  const plan = makePlan(site, profile, startSec, DAYS);
  const link = { keepAliveSec: 0, heartbeatSec: 0, liveMs: 0 };
  const spec = fleetSpecOf({ site, profile, plan, keys: seededKeys(SEED), seed: SEED, days: DAYS, link });
  const found = spec.controllers.find((c) => c.circuit === circuit)!;
  return found.visits.map(({ from, to }) => ({ from: startSec + from / 1000, to: startSec + to / 1000 }));
}

describe('the command', () => {
  it('prints exactly one JSON object with the figures of the run, and exits with 0', () => {
    expect(kept).toMatchObject({ code: 0, stderr: '' });
    expect(kept.stdout.trimEnd().split('\n')).toHaveLength(1);
    const result = JSON.parse(kept.stdout);
    expect(Object.keys(result)).toEqual([
      ...[
        'controllerDays',
        'controllerYears',
        'from',
        'until',
        'seconds',
        'cpuSeconds',
        'controllerYearsPerSecond',
        'workers',
      ],
      ...['tests', 'violations', 'recordsWritten', 'recordsInLogbook', 'recordsLost', 'recordsDuplicated'],
      ...['entries', 'chainValid', 'finalHash'],
    ]);
    expect(result).toMatchObject({
      controllerDays: DAYS * site.circuits.length,
      violations: 0,
      recordsInLogbook: result.recordsWritten,
      chainValid: true,
    });
    expect(result.recordsWritten).toBe(lines.length);
    expect(result.finalHash).toMatch(/^[0-9a-f]{64}$/);
  });

  it('counts every luminaire of every result once', () => {
    const tally = (kind: TestKind, verdict: Verdict) =>
      judged.filter((j) => j.result.type === kind && j.verdict === verdict).length;
    const counts = (kind: TestKind) => ({
      pass: tally(kind, Verdict.Pass),
      fail: tally(kind, Verdict.Fail),
      void: tally(kind, Verdict.Void),
    });
    expect(JSON.parse(kept.stdout).tests).toEqual({
      brief: counts(TestKind.Brief),
      full: counts(TestKind.Full),
      limited: counts(TestKind.Limited),
      commissioning: counts(TestKind.Commissioning),
    });
  });

  it('gives the same hash for the same seed, in memory and in a file, and a different one for another seed', () => {
    const hash = (outcome: Outcome) => JSON.parse(outcome.stdout).finalHash;
    expect([again, ...months].map((outcome) => outcome.code)).toEqual([0, 0, 0]);
    expect(hash(again)).toBe(hash(kept));
    expect(hash(months[1])).not.toBe(hash(months[0]));
  });

  it("leaves a log book in which every signature fits the seed's keys", async () => {
    const logbook = await openLogbook(db);
    const { finalHash } = JSON.parse(kept.stdout);
    // Beside the records there is a note for each circuit on whom its settings describe, and each order given.
    const entries = lines.length + site.circuits.length + (await logbook.total({ kind: 'ordered' }));
    expect(await logbook.verify(seededKeys(SEED))).toMatchObject({ valid: true, entries, finalHash });
    expect((await logbook.verify(seededKeys(SEED + 1))).valid).toBe(false);
    expect(await logbook.evidenceCount()).toBe(0);
    await logbook.close();
  });
});

describe('the luminaires', () => {
  it('without a planted fault have passed 13 function tests and a duration test, and failed none', () => {
    const faulty = site.simulation.faults.flatMap((f) => ('luminaire' in f ? [f.luminaire] : []));
    for (const id of all.filter((lamp) => !faulty.includes(lamp))) {
      const passes = ofLamp(id).filter((j) => j.verdict === Verdict.Pass);
      const brief = passes.filter((j) => j.result.type === TestKind.Brief).length;
      expect(brief, `brief tests passed by ${id}`).toBeGreaterThanOrEqual(13);
      expect(passes.length - brief, `full tests passed by ${id}`).toBeGreaterThanOrEqual(1);
      expect(
        ofLamp(id).filter((j) => j.verdict === Verdict.Fail),
        `failures of ${id}`,
      ).toEqual([]);
    }
  });

  it('are void only if a planted fault of sensor or relay explains it', () => {
    const voids = judged.filter((j) => j.verdict === Verdict.Void);
    const strange = voids.filter(({ luminaire, circuit, reason, at }) => {
      const causes = site.simulation.faults.filter((f) => f.fromDay <= dayOf(at));
      const drifts = causes.some((f) => f.kind === 'sensor drift' && f.luminaire === luminaire);
      const stuck = causes.some((f) => f.kind === 'relay stuck closed' && f.circuit === circuit);
      return !(drifts && reason === Reason.SensorOffset) && !(stuck && reason === Reason.RelayStuckClosed);
    });
    expect(strange).toEqual([]);
  });
});

type Kind<K extends PlantedFault['kind']> = Extract<PlantedFault, { kind: K }>;

async function findDeadLamp(f: Kind<'dead lamp'>): Promise<void> {
  const since = ofLamp(f.luminaire, f.fromDay);
  expect(since.length).toBeGreaterThanOrEqual(13);
  expect(since.every(isDark)).toBe(true);
  expect(await diagnosisOf(f.luminaire)).toMatch(/dead lamp|lamp that failed/);
}

async function findAgedBattery(f: Kind<'aged battery'>): Promise<void> {
  const since = ofLamp(f.luminaire, f.fromDay);
  const full = since.filter((j) => j.result.type === TestKind.Full);
  expect(full.length).toBeGreaterThanOrEqual(1);
  for (const j of full) {
    expect(j).toMatchObject({ verdict: Verdict.Fail, reason: Reason.EndedEarly });
    expectBetween(j.litSec, f.lastsMinutes * 60 - 5, f.lastsMinutes * 60 + 5);
  }
  // A function test cannot see it: that is what the duration test is for.
  const brief = since.filter((j) => j.result.type === TestKind.Brief);
  expect(brief.every((j) => j.verdict === Verdict.Pass)).toBe(true);
  expect(await diagnosisOf(f.luminaire)).toMatch(/^Most likely an aged battery/);
}

async function findDeadCharger(f: Kind<'charger dead'>): Promise<void> {
  const since = ofLamp(f.luminaire, f.fromDay);
  const dark = since.findIndex(isDark);
  const emptying = since.slice(0, dark).filter((j) => j.result.type === TestKind.Full);
  // One duration test empties it: a test soon after may still last, a later one falls short by what the
  // battery has lost by self-discharge.
  expect(emptying).toHaveLength(1);
  expect([Reason.None, Reason.EndedEarly]).toContain(emptying[0].reason);
  expect(since.slice(dark).every(isDark)).toBe(true);
  expect(since.length - dark).toBeGreaterThanOrEqual(5);
  expect(await diagnosisOf(f.luminaire)).toMatch(/^Most likely the charger/);
}

async function findDrift(f: Kind<'sensor drift'>): Promise<void> {
  expect(ofLamp(f.luminaire).filter((j) => j.verdict === Verdict.Fail)).toEqual([]);
  const lost = ofLamp(f.luminaire).findIndex((j) => j.verdict === Verdict.Void);
  const before = ofLamp(f.luminaire).slice(0, lost);
  const after = ofLamp(f.luminaire).slice(lost);
  expect(before.every((j) => j.verdict === Verdict.Pass)).toBe(true);
  expect(after.every((j) => j.verdict === Verdict.Void && j.reason === Reason.SensorOffset)).toBe(true);
  expect(dayOf(after[0].at)).toBeGreaterThan(f.fromDay);
  expect(await diagnosisOf(f.luminaire)).toMatch(/^The current sensor has most likely drifted/);
}

function findStuckClosed(f: Kind<'relay stuck closed'>): void {
  const stuck = judged.filter((j) => j.result.end === Reason.RelayStuckClosed);
  const { luminaires } = site.circuits.find((c) => c.id === f.circuit)!;
  expect(stuck.map((j) => j.luminaire)).toEqual(luminaires.map((lamp) => lamp.id));
  for (const j of stuck)
    expect(j).toMatchObject({ verdict: Verdict.Void, reason: Reason.RelayStuckClosed, circuit: f.circuit });
  expectBetween(dayOf(stuck[0].at), f.fromDay, f.repairedDay);
  expectFaultAndRepair(f, Reason.RelayStuckClosed);
}

function findStuckOpen(f: Kind<'relay sticks open'>): void {
  expectFaultAndRepair(f, Reason.RelayStuckOpen);
  const [supply] = events('supply', Reason.RelayStuckOpen);
  expect(events('supply', Reason.RelayStuckOpen)).toHaveLength(1);
  expect(supply.circuit).toBe(f.circuit);
  // The fault is reported 5 s after the order to close; the record counts from there (I6).
  expectBetween(supply.arg, f.seconds - 7, f.seconds);
}

/**
 * One fault record on the right circuit while the fault lasts, cleared after the repair, and tests continue.
 */
function expectFaultAndRepair(
  f: { circuit: string; fromDay: number; repairedDay: number },
  reason: Reason,
): void {
  const faults = events('fault', reason);
  expect(faults.map((e) => e.circuit)).toEqual([f.circuit]);
  expectBetween(faults[0].day, f.fromDay, f.repairedDay);
  expect(events('cleared', reason)).toMatchObject([{ circuit: f.circuit, day: f.repairedDay }]);
  const later = judged.filter((j) => j.circuit === f.circuit && dayOf(j.at) > f.repairedDay);
  expect(later.length).toBeGreaterThan(0);
  expect(later.every((j) => j.verdict === Verdict.Pass)).toBe(true);
}

function findVisitor(f: Kind<'person at night'>): void {
  const visits = visitsTo(f.circuit);
  const results = lines.flatMap(({ circuit, record }) =>
    circuit === f.circuit && record.kind === 'result' && record.started > 0 ? [record] : [],
  );
  expect(results.length).toBeGreaterThanOrEqual(14);
  for (const { started, seconds } of results)
    expect(
      visits.filter((visit) => visit.from < started + seconds && visit.to > started),
      `visits during the test of ${new Date(started * 1000).toISOString()}`,
    ).toEqual([]);
}

const find: { [K in PlantedFault['kind']]: (fault: Kind<K>) => void } = {
  'dead lamp': findDeadLamp,
  'aged battery': findAgedBattery,
  'charger dead': findDeadCharger,
  'sensor drift': findDrift,
  'relay stuck closed': findStuckClosed,
  'relay sticks open': findStuckOpen,
  'person at night': findVisitor,
};

describe('the planted faults', () => {
  it.each(
    site.simulation.faults.map((fault) => ({
      ...fault,
      where: 'luminaire' in fault ? fault.luminaire : fault.circuit,
    })),
  )('$kind at $where is found for what it is', (fault) => find[fault.kind](fault as never));

  it('are of every kind the simulator knows, and no circuit without one has a tester fault', () => {
    expect(new Set(site.simulation.faults.map((f) => f.kind))).toEqual(new Set(Object.keys(find)));
    const relays = site.simulation.faults.flatMap((f) =>
      f.kind.startsWith('relay') && 'circuit' in f ? [f.circuit] : [],
    );
    expect(lines.flatMap((l) => (l.record.kind === 'fault' ? [l.circuit] : [])).sort()).toEqual(
      relays.sort(),
    );
  });
});
