// Commissioned currents and their acceptance by a person, on the real log book.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../../firmware/contract/codes';
import { Limit } from '../../../../firmware/contract/limits';
import { decideAcceptance, measurement } from '../../../../host/house/notes/baseline';
import { type NoteKind, noteAddress, writeNote } from '../../../../host/house/notes/notes';
import { readPast } from '../../../../host/house/past';
import { createIngest } from '../../../../host/ingest/ingest';
import { openLogbook } from '../../../../host/logbook/engines/open';
import type { Logbook } from '../../../../host/logbook/logbook';
import type { Circuit } from '../../../../host/site/model';
import { type Journal, KEYS, newJournal, resultFields } from '../../logbook/records';
import { listFirst, newLoggedHouse } from '../bench';
import { HOUSE } from '../site';

const A = 'demo/a';
const NOW = 1770100000;
const FLOOR = 70;
/** A-01 stays non-maintained at 300 mA; A-02 is maintained, 300 mA on battery and 400 mA on mains. */
const CIRCUIT: Circuit = {
  ...HOUSE.circuits[0],
  luminaires: HOUSE.circuits[0].luminaires.map((lamp, i) =>
    i === 1 ? { ...lamp, mode: 'maintained', mainsMilliamps: 400 } : lamp,
  ),
};
const SITE = { ...HOUSE, circuits: [CIRCUIT, HOUSE.circuits[1]] };
const first = (milliamps: number) => [1, 0, 90, 300, milliamps, 290, 2];
const second = (milliamps: number, mains: number) => [1, 0, 90, 300, milliamps, 290, mains];

let folder: string;
let file: string;
let logbook: Logbook;
let journal: Journal;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-baseline-'));
  file = join(folder, 'log.db');
  logbook = await openLogbook(file);
  journal = newJournal(A);
  await listFirst(logbook, SITE);
});
afterEach(async () => {
  await logbook.close();
  rmSync(folder, { recursive: true, force: true });
});

async function reopen(): Promise<void> {
  await logbook.close();
  logbook = await openLogbook(file);
}
async function tested(lamps: number[][], more: object = {}): Promise<void> {
  await logbook.appendBatch([
    journal.record('result', resultFields(lamps, { type: TestKind.Brief, ...more })),
  ]);
}
/** Decides and writes as command and page do. */
async function accept(luminaires: string[] = [], circuit = CIRCUIT, who = 'Anna Fitter') {
  const { notes, history } = await past(circuit);
  const decision = decideAcceptance({
    ...{ address: A, circuit, luminaires, who, at: NOW, floorPercent: FLOOR },
    inForce: notes.of('a').inForce,
    complete: history.of('a').complete,
  });
  if ('note' in decision) await writeNote(logbook, KEYS, decision.note);
  return 'note' in decision ? { rows: decision.note.fields.lamps } : decision;
}
const past = (circuit = CIRCUIT) =>
  readPast(logbook, { ...HOUSE, circuits: [circuit, HOUSE.circuits[1]] }, KEYS);
const accepted = async (circuit = CIRCUIT) => (await past(circuit)).notes.of('a').accepted;
const measured = async () => measurement(CIRCUIT, (await past()).history.of('a').complete, FLOOR);

describe('the measured values', () => {
  it('come from the newest complete test: on battery at 60 s, on mains the mean of a lamp that was lit', async () => {
    await tested([first(250), second(251, 390)]);
    await tested([first(280), second(281, 410)]);
    await tested([first(200), second(200, 300)], { end: Reason.OrderedRestore });
    expect(await measured()).toMatchObject({
      entry: 4,
      lamps: [
        { luminaire: 'A-01', battery: 280, mains: 0, refusal: '' },
        { luminaire: 'A-02', battery: 281, mains: 410, refusal: '' },
      ],
    });
  });

  it('leave the current on mains unchanged if the lamp was dark then', async () => {
    await tested([first(280), second(281, 3)]);
    expect((await measured())?.lamps[1]).toMatchObject({
      mains: 400,
      refusal: '',
    });
  });

  it('are absent if no test is complete, or the circuit has a different number of luminaires now', async () => {
    await tested([first(280)], { end: Reason.Outage });
    expect(await measured()).toBeUndefined();
    await tested([first(280)]);
    expect(await accept()).toEqual({ refusals: [expect.stringContaining('no complete test of circuit a')] });
  });
});

describe('an implausible value', () => {
  it.each<[string, number[], string]>([
    ['of a lamp that failed', [2, Reason.EndedEarly, 80, 300, 290, 0, 2], 'did not pass. The lamp went out'],
    ['of a void lamp', [3, Reason.SensorRange, 0, 0, 300, 0, 0], 'did not pass. The current sensor is open'],
    ['of a saturated sensor', first(Limit.RailHigh), 'its sensor was open circuit or saturated on battery'],
    ['of an open sensor', first(Limit.RailLow), 'its sensor was open circuit or saturated on battery'],
    ['below the floor', first(209), '209 mA on battery is below 70 % of the 300 mA in the site file'],
    ['far above', first(391), '391 mA on battery is more than 130 % of the 300 mA in the site file'],
  ])('%s is refused by name, and nothing is written', async (_what, row, why) => {
    await tested([row, second(290, 410)]);
    const before = await logbook.entries();
    const outcome = await accept();
    expect(outcome).toEqual({ refusals: [expect.stringMatching(/^A-01: .*\.$/)] });
    expect((outcome as { refusals: string[] }).refusals[0]).toContain(why);
    expect(await logbook.entries()).toBe(before);
    expect(await accept(['A-02'])).toMatchObject({
      rows: [{ luminaire: 'A-02', new: { battery: 290, mains: 410 } }],
    });
  });

  it('on mains is refused as well', async () => {
    await tested([first(290), second(290, 200)]);
    expect(await accept()).toEqual({
      refusals: [expect.stringContaining('200 mA on mains is below 70 % of')],
    });
  });

  it('cannot creep downwards: the reference is always the site file, never an accepted value', async () => {
    await tested([first(215), second(290, 410)]);
    expect(await accept()).toHaveProperty('rows');
    await tested([first(205), second(290, 410)]);
    expect(await accept()).toEqual({ refusals: [expect.stringContaining('of the 300 mA in the site file')] });
  });

  it('is refused for an unknown luminaire', async () => {
    await tested([first(290), second(290, 410)]);
    expect(await accept(['B-01'])).toEqual({ refusals: ['Circuit a has no luminaire B-01.'] });
  });
});

describe('a circuit whose currents are only expected', () => {
  const luminaires = CIRCUIT.luminaires.map((lamp) => ({ ...lamp, isExpected: true }));
  const site = { ...SITE, circuits: [{ ...CIRCUIT, luminaires }, HOUSE.circuits[1]] };

  it('is accepted at once but for the lamps that did not pass, and those are named', async () => {
    const running = await newLoggedHouse(logbook, { site });
    await tested([first(280), [2, Reason.EndedEarly, 80, 300, 290, 0, 2]]);
    await running.follow();
    const acceptAll = () => running.entering.accept('a', '', 'Anna', NOW);
    const { ok, answer } = await acceptAll();
    expect(ok).toBe(true);
    expect(answer).toMatch(
      /^Now in use: A-01 on battery 300 mA -> 280 mA\. .* Not accepted: A-02: it did not pass\./,
    );
    const inForce = () => running.house.past.notes.of('a').inForce.luminaires.map((lamp) => lamp.isExpected);
    expect(inForce()).toEqual([undefined, true]);
    expect(await acceptAll()).toMatchObject({
      ok: false,
      answer: expect.stringMatching(/^A-02: it did not pass/),
    });
    expect(inForce()).toEqual([undefined, true]);
  });

  it('leaves the luminaires alone that are judged by measured currents already', async () => {
    const running = await newLoggedHouse(logbook, { site });
    await tested([first(280), second(281, 410)]);
    await running.follow();
    expect(await running.entering.accept('a', '', 'Anna', NOW)).toMatchObject({ ok: true });
    await tested([first(215), second(215, 300)]);
    await running.follow();
    const before = await logbook.entries();
    expect(await running.entering.accept('a', '', 'Anna', NOW + 60)).toEqual({
      ok: false,
      answer: 'Every luminaire of circuit a is judged by measured currents already.',
    });
    expect(await logbook.entries()).toBe(before);
  });
});

describe('what was accepted for expected currents', () => {
  const luminaires = CIRCUIT.luminaires.map((lamp) => ({ ...lamp, isExpected: true }));
  const expected: Circuit = { ...CIRCUIT, luminaires };
  const site = { ...SITE, circuits: [expected, HOUSE.circuits[1]] };
  const full = (settings: number, started: number) =>
    tested([first(280), second(281, 410)], { type: TestKind.Full, settings, started });
  const note = (kind: NoteKind, fields: object) =>
    writeNote(logbook, KEYS, { address: A, kind, who: 'Anna', at: NOW, fields });
  const marks = async (circuit = expected) =>
    (await past(circuit)).notes.of('a').inForce.luminaires.map(({ isExpected }) => isExpected);

  it('makes no earlier test a proof, nor a later one by the settings before', async () => {
    const running = await newLoggedHouse(logbook, { site });
    await full(1, NOW - 60);
    await running.follow();
    await running.entering.accept('a', '', 'Anna', NOW);
    const unproven = async () => {
      await running.follow();
      return running.house.view.controller('a', NOW + 90_000).unproven.map(({ detail }) => detail);
    };
    const missing = ['No duration test has judged it by its measured currents yet.'];
    expect(await unproven()).toEqual(missing);
    await full(1, NOW + 60);
    expect(await unproven()).toEqual(missing);
    await note('listed', { revision: 2, luminaires: 'A-01 A-02' });
    await tested([first(280), second(281, 410)], { settings: 2, started: NOW + 7200 });
    expect(await unproven()).toEqual(missing);
    await full(2, NOW + 80_000);
    expect(await unproven()).toEqual([]);
  });

  it('ends with a change of the lamp or of the mark in the site file, and not with another repair', async () => {
    await tested([first(280), second(281, 410)]);
    expect(await accept([], expected)).toHaveProperty('rows');
    const repaired = (what: string) => note('repaired', { luminaires: 'A-01', what, retest: 1 });
    await repaired('battery changed');
    expect([await marks(), await marks(CIRCUIT)]).toEqual([
      [undefined, undefined],
      [undefined, undefined],
    ]);
    expect((await accepted(CIRCUIT)).size).toBe(0);
    const { entry } = await repaired('whole luminaire changed');
    expect(await marks()).toEqual([true, undefined]);
    await note('withdrawn', { withdraws: entry, why: 'Wrong luminaire' });
    expect(await marks()).toEqual([undefined, undefined]);
    await note('repaired', { luminaires: 'A-02', what: 'by the maker', part: 'lamp', retest: 1 });
    expect(await marks()).toEqual([undefined, true]);
    expect(await accept(['A-02'], expected)).toHaveProperty('rows');
    expect(await marks()).toEqual([undefined, undefined]);
  });

  it('does not outlive currents that were measured and are only expected again', async () => {
    await tested([first(280), second(281, 410)]);
    await accept();
    expect(await marks()).toEqual([true, true]);
  });
});

describe('an acceptance', () => {
  it('is a log book entry with name, date, old and new values, in the chain like any other', async () => {
    await tested([first(280), second(281, 410)]);
    expect(await accept()).toHaveProperty('rows');
    await tested([first(270), second(271, 405)]);
    expect(await accept(['A-01'], CIRCUIT, 'Ben')).toMatchObject({
      rows: [{ old: { battery: 280 }, new: { battery: 270 } }],
    });
    const [entry] = await logbook.page({ limit: 1 });
    expect(entry).toMatchObject({ address: noteAddress(A), kind: 'baseline', at: NOW, entry: 6 });
    expect(JSON.parse(entry.body)).toMatchObject({ who: 'Ben', utc: NOW, seq: 3, result: 5 });
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true, entries: 6 });
    expect([...(await accepted())].map(([id, a]) => [id, a.battery, a.mains, a.who])).toEqual([
      ['A-01', 270, 0, 'Ben'],
      ['A-02', 281, 410, 'Anna Fitter'],
    ]);
  });

  it('gives way when the site file is corrected afterwards, for that luminaire only', async () => {
    await tested([first(280), second(281, 410)]);
    await accept();
    const [one, two] = CIRCUIT.luminaires;
    const corrected = { ...CIRCUIT, luminaires: [{ ...one, batteryMilliamps: 260 }, two] };
    expect([...(await accepted(corrected)).keys()]).toEqual(['A-02']);
    expect((await past(corrected)).notes.of('a').inForce.luminaires.map((l) => l.batteryMilliamps)).toEqual([
      260, 281,
    ]);
  });

  it('stays with a luminaire that gets another id', async () => {
    await tested([first(280), second(281, 410)]);
    await accept();
    const [one, two] = CIRCUIT.luminaires;
    const renamed = { ...CIRCUIT, luminaires: [one, { ...two, id: 'L-02', formerly: ['A-02'] }] };
    expect([...(await accepted(renamed)).keys()]).toEqual(['A-01', 'L-02']);
    const { house, refresh, follow } = await newLoggedHouse(logbook, {
      site: { ...SITE, circuits: [renamed, HOUSE.circuits[1]] },
    });
    await follow();
    refresh(NOW);
    expect(house.desired.of('a').settings!.lamps).toBe('0,280,0,3600;1,281,410,3600;');
    const corrected = { ...renamed, luminaires: [one, { ...renamed.luminaires[1], batteryMilliamps: 310 }] };
    expect([...(await accepted(corrected)).keys()]).toEqual(['A-01']);
  });

  it('is not trusted without our signature, and no controller message can pass for one', async () => {
    const fields = { result: 1, lamps: [{ luminaire: 'A-01', new: { battery: 1, mains: 0 } }] };
    const forged = newJournal(noteAddress(A), 'host', KEYS);
    const record = forged.record('baseline', { who: 'Eve', ...fields });
    await logbook.appendBatch([{ ...record, body: record.body.replace('Eve', 'Eva') }]);
    expect((await accepted()).size).toBe(0);
    const clock = { nowMs: () => NOW * 1000 };
    const ingest = createIngest({ logbook, keys: KEYS, clock, publish: () => true });
    const other = newJournal(noteAddress(A), 'host', KEYS).next('baseline', { who: 'Eve', ...fields });
    expect(ingest.accept(`nightproof/${noteAddress(A)}/record`, other, false)).toBe('topic');
  });

  it('by two processes at once leaves one unbroken chain', async () => {
    const other = await openLogbook(file);
    await tested([first(280), second(281, 410)]);
    const note = { address: A, kind: 'baseline', at: NOW, fields: { result: 1, lamps: [] } } as const;
    for (let i = 0; i < 5; i++) {
      await writeNote(i % 2 === 0 ? logbook : other, KEYS, { ...note, who: `Fitter ${i}` });
      await tested([first(280), second(281, 410)]);
    }
    await other.close();
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true, entries: 13 });
    expect(await logbook.evidenceCount()).toBe(0);
  });
});

describe('the settings for the controller', () => {
  it('carry the accepted currents under a higher revision, on that circuit only', async () => {
    const { house, refresh, follow } = await newLoggedHouse(logbook, { site: SITE });
    refresh(NOW);
    const before = { a: house.desired.of('a').settings!, b: house.desired.of('b').settings! };
    expect(before.a.lamps).toBe('0,300,0,3600;1,300,400,3600;');
    await tested([first(280), second(281, 410)]);
    await accept();
    await follow();
    expect(refresh(NOW + 60)).toBe(true);
    const after = house.desired.of('a').settings!;
    expect(after.lamps).toBe('0,280,0,3600;1,281,410,3600;');
    expect(after.revision).toBeGreaterThan(before.a.revision);
    expect(house.desired.of('b').settings).toEqual(before.b);
    expect(refresh(NOW + 120)).toBe(false);
  });

  it('carry them even if the host is killed after writing the entry and before sending anything', async () => {
    const before = await newLoggedHouse(logbook);
    before.refresh(NOW);
    const { revision } = before.house.desired.of('a').settings!;
    await tested([first(280), first(281)]);
    const program = fileURLToPath(new URL('./acceptAndDie.ts', import.meta.url));
    const died = spawnSync(process.execPath, ['--import', 'tsx', program, file, String(NOW)]);
    expect([died.signal, died.stderr.toString()]).toEqual(['SIGKILL', '']);
    await before.memory.written();
    await reopen();
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true, entries: 4 });
    const after = await newLoggedHouse(logbook);
    await after.follow();
    after.refresh(NOW + 60);
    expect(after.house.desired.of('a').settings).toMatchObject({ lamps: '0,280,0,3600;0,281,0,3600;' });
    expect(after.house.desired.of('a').settings!.revision).toBeGreaterThan(revision);
  });
});
