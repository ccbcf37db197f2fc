// Defects of luminaires as the log book tells them: one for one cause, closed only by the right pass.
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../../firmware/contract/codes';
import { REOPEN_DAYS, stateOf } from '../../../../host/house/defects/defect';
import { createDefects } from '../../../../host/house/defects/defects';
import type { CareFields } from '../../../../host/house/notes/care';
import { writeNote } from '../../../../host/house/notes/notes';
import { type Past, readPast } from '../../../../host/house/past';
import { openLogbook } from '../../../../host/logbook/engines/open';
import type { Logbook } from '../../../../host/logbook/logbook';
import { readRecord } from '../../../../host/records/schema';
import { KEYS, newJournal, resultFields } from '../../logbook/records';
import { inFileOrder, listFirst } from '../bench';
import { HOUSE } from '../site';

const NOW = 1_770_000_000;
const DAY = 86_400;
const PASS = [1, 0, 3600, 300, 300, 290, 2];
const VOID = [3, Reason.Outage, 0, 0, 0, 0, 0];
const failed = (reason: number, litSec = 1200) => [2, reason, litSec, 300, 300, 0, 2];
const FAIL = failed(Reason.EndedEarly);
const [Brief, Full, Limited] = [TestKind.Brief, TestKind.Full, TestKind.Limited];

let logbook: Logbook;
let journal: ReturnType<typeof newJournal>;
beforeEach(async () => {
  logbook = await openLogbook(':memory:');
  journal = newJournal('demo/a');
  await listFirst(logbook, HOUSE);
});
afterEach(async () => await logbook.close());

/** A test of circuit a that began on a day after `NOW`. */
function result(type: TestKind, day: number, ...lamps: number[][]) {
  return journal.record('result', resultFields(lamps, { type, started: NOW + day * DAY }));
}

async function tested(type: TestKind, day: number, ...lamps: number[][]): Promise<void> {
  await logbook.appendBatch([result(type, day, ...lamps)]);
}

async function repaired(retest: TestKind, day: number, luminaires = 'A-01', what = ''): Promise<void> {
  const note = { address: 'demo/a', kind: 'repaired', who: 'Anna', at: NOW + day * DAY } as const;
  await writeNote(logbook, KEYS, { ...note, fields: { luminaires, what, retest } });
}

async function cared(fields: Partial<CareFields>, day = 1): Promise<void> {
  const whole = { luminaire: 'A-01', owner: '', due: '', interim: '', words: '', ...fields };
  await writeNote(logbook, KEYS, {
    ...{ address: 'demo/a', kind: 'defect', who: 'Zoë Łukasiewicz', at: NOW + day * DAY, fields: whole },
  });
}

const read = (): Promise<Past> => readPast(logbook, HOUSE, KEYS);

/** Luminaire, state and number of fails of every defect, those not closed first. */
async function told(): Promise<string[]> {
  const { defects } = await read();
  const line = (one: Parameters<typeof stateOf>[0]) =>
    `${one.luminaire} ${one.cause} ${stateOf(one)} needs ${one.needs}, failed ${one.fails}, back ${one.reopened}`;
  return [...defects.open(), ...defects.closed()].map(line);
}

describe('a fail', () => {
  it('opens a defect of its luminaire, with the record that did', async () => {
    await tested(Brief, 0, PASS, PASS);
    expect(await told()).toEqual([]);
    await tested(Full, 1, FAIL, PASS);
    expect(await told()).toEqual(['A-01 battery light open needs full, failed 1, back 0']);
    const [{ opened, last, closed }] = (await read()).defects.open();
    expect(opened).toMatchObject({
      entry: 4,
      at: NOW + DAY,
      kind: 'full',
      reason: Reason.EndedEarly,
      litSec: 1200,
    });
    expect([last, closed]).toEqual([opened, null]);
  });

  it('is the same defect for one cause, whatever test shows it, and another one for another cause', async () => {
    await tested(Full, 0, FAIL, PASS);
    await tested(Brief, 30, failed(Reason.NotLitAtFiveSeconds, 0), failed(Reason.DarkOnMains));
    await tested(Brief, 60, failed(Reason.LitOnMains), PASS);
    expect(await told()).toEqual([
      'A-01 battery light open needs full, failed 2, back 0',
      'A-01 mains light open needs brief, failed 1, back 0',
      'A-02 mains light closed needs brief, failed 1, back 0',
    ]);
    const [{ opened, last }] = (await read()).defects.open();
    expect([opened.at, last.at, last.reason]).toEqual([NOW, NOW + 30 * DAY, Reason.NotLitAtFiveSeconds]);
  });

  it('is none if the test was void, whoever is to blame', async () => {
    await tested(Full, 0, VOID, [3, Reason.SensorStuck, 0, 300, 300, 300, 300]);
    await logbook.appendBatch([journal.record('fault', { reason: Reason.RelayStuckClosed, arg: 0 })]);
    expect(await told()).toEqual([]);
    // Nor does a void test close anything.
    await tested(Full, 1, FAIL, PASS);
    await tested(Full, 2, VOID, VOID);
    expect(await told()).toEqual(['A-01 battery light open needs full, failed 1, back 0']);
  });
});

describe('a repair', () => {
  it('leaves the defect open until the retest it owes has passed', async () => {
    await tested(Brief, 0, failed(Reason.NotLitAtFiveSeconds), failed(Reason.Flickers));
    await repaired(Full, 1, 'A-01', 'battery changed');
    expect(await told()).toEqual([
      'A-01 battery light repaired needs full, failed 1, back 0',
      'A-02 battery light open needs brief, failed 1, back 0',
    ]);
    const [{ repairs }] = (await read()).defects.open();
    expect(repairs).toEqual([
      { entry: 4, at: NOW + DAY, who: 'Anna', what: 'battery changed', owes: 'full' },
    ]);
    await tested(Brief, 2, PASS, PASS);
    expect(await told()).toEqual([
      'A-01 battery light repaired needs full, failed 1, back 0',
      'A-02 battery light closed needs brief, failed 1, back 0',
    ]);
    await tested(Full, 3, PASS, PASS);
    expect((await read()).defects.closed()[0]).toMatchObject({
      luminaire: 'A-01',
      closed: { entry: 6, at: NOW + 3 * DAY, kind: 'full' },
    });
  });

  it('that did not help leaves an open defect, the same one', async () => {
    await tested(Full, 0, FAIL, PASS);
    await repaired(Full, 1);
    await tested(Full, 2, FAIL, PASS);
    expect(await told()).toEqual(['A-01 battery light open needs full, failed 2, back 0']);
    await repaired(Full, 3);
    await tested(Full, 4, PASS, PASS);
    expect(await told()).toEqual(['A-01 battery light closed needs full, failed 2, back 0']);
    expect((await read()).defects.closed()[0].repairs).toHaveLength(2);
  });

  it('is not proven by a test that began before it and arrived after it, nor undone by one', async () => {
    await tested(Brief, 0, FAIL, PASS);
    await repaired(Brief, 5);
    await tested(Brief, 4, PASS, PASS);
    expect(await told()).toEqual(['A-01 battery light repaired needs brief, failed 1, back 0']);
    await tested(Brief, 4, FAIL, PASS);
    expect(await told()).toEqual(['A-01 battery light repaired needs brief, failed 2, back 0']);
    await tested(Brief, 6, PASS, PASS);
    expect((await told())[0]).toContain(' closed ');
  });

  it('entered before the failed test arrives counts for it', async () => {
    await repaired(Full, 5);
    await tested(Brief, 4, FAIL, PASS);
    expect(await told()).toEqual(['A-01 battery light repaired needs full, failed 1, back 0']);
  });
});

describe('a pass', () => {
  it('closes only what it disproves: never a failed duration test by a function test', async () => {
    await tested(Full, 0, FAIL, PASS);
    await tested(Brief, 30, PASS, PASS);
    await tested(Limited, 60, PASS, PASS);
    expect(await told()).toEqual(['A-01 battery light open needs full, failed 1, back 0']);
    await tested(Full, 90, PASS, PASS);
    expect(await told()).toEqual(['A-01 battery light closed needs full, failed 1, back 0']);
  });

  it('does not close a duration failure because a function test has failed in between', async () => {
    await tested(Limited, 0, FAIL, PASS);
    await tested(Brief, 30, failed(Reason.NotLitAtFiveSeconds), PASS);
    await tested(Brief, 60, PASS, PASS);
    expect(await told()).toEqual(['A-01 battery light open needs limited, failed 2, back 0']);
  });

  it('older than the fail closes nothing, and a fail older than the pass opens nothing', async () => {
    const [pass, fail, late, newest] = [
      ...[result(Full, 0, PASS, PASS), result(Full, 1, FAIL, PASS)],
      ...[result(Full, 2, PASS, FAIL), result(Full, 3, PASS, PASS)],
    ];
    await logbook.appendBatch([fail, pass]);
    expect(await told()).toEqual(['A-01 battery light open needs full, failed 1, back 0']);
    await logbook.appendBatch([newest, late]);
    expect(await told()).toEqual(['A-01 battery light closed needs full, failed 1, back 0']);
  });
});

describe('a closed defect', () => {
  const twice = async (days: number) => {
    await tested(Full, 0, FAIL, PASS);
    await cared({ owner: 'José', due: '2032-01-31', interim: 'torches' });
    await tested(Full, 1, PASS, PASS);
    await tested(Brief, 1 + days, failed(Reason.Flickers), PASS);
  };

  it('is reopened by a fail for the same cause soon after, and keeps its owner but not its dates', async () => {
    await twice(REOPEN_DAYS);
    expect(await told()).toEqual(['A-01 battery light open needs brief, failed 2, back 1']);
    const [{ opened, care }] = (await read()).defects.open();
    expect(opened.at).toBe(NOW + (1 + REOPEN_DAYS) * DAY);
    expect(care).toMatchObject({ owner: 'José', due: '', interim: '' });
  });

  it('stays closed if the fail comes later, or is for another cause', async () => {
    await twice(REOPEN_DAYS + 1);
    await tested(Brief, 200, failed(Reason.LitOnMains), PASS);
    expect(await told()).toEqual([
      'A-01 battery light open needs brief, failed 1, back 0',
      'A-01 mains light open needs brief, failed 1, back 0',
      'A-01 battery light closed needs full, failed 1, back 0',
    ]);
    expect((await read()).defects.open()[0].care).toBeNull();
  });
});

describe('what people enter', () => {
  it('stands with every open defect of the luminaire, in their own letters, the newest entry alone', async () => {
    await tested(Full, 0, FAIL, FAIL);
    await cared({
      owner: 'Žaneta Đorđević',
      due: '2032-01-31',
      interim: '携帯用ランプ',
      words: 'said "soon" \\ now',
    });
    const of = async (id: string) => (await read()).defects.openOf(id)[0].care;
    expect(await of('A-01')).toEqual({
      ...{ entry: 4, who: 'Zoë Łukasiewicz', at: NOW + DAY, owner: 'Žaneta Đorđević', due: '2032-01-31' },
      ...{ interim: '携帯用ランプ', words: 'said "soon" \\ now' },
    });
    expect(await of('A-02')).toBeNull();
    await cared({ owner: 'Ян' });
    expect(await of('A-01')).toMatchObject({ owner: 'Ян', due: '', interim: '' });
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true });
  });

  it('can be about a circuit, and counts only with our signature', async () => {
    await cared({ luminaire: '', owner: 'Anna' });
    const past = await read();
    expect(past.defects.careOf('a')).toMatchObject({ owner: 'Anna' });
    const [note] = await logbook.page({ limit: 1 });
    const forged = { ...note, entry: note.entry + 1, body: note.body.replace('Anna', 'Otto') };
    expect(past.take(forged)).toBe(true);
    expect(past.defects.careOf('a')).toMatchObject({ owner: 'Anna' });
  });
});

it('keeps a bounded number of closed defects per luminaire, and counts the others', async () => {
  for (let year = 0; year < 8; year++) {
    await tested(Full, year * 365, FAIL, PASS);
    await tested(Full, year * 365 + 30, PASS, PASS);
  }
  const { defects } = await read();
  expect(defects.closed().map(({ opened }) => (opened.at - NOW) / DAY / 365)).toEqual([7, 6, 5, 4, 3]);
  expect(defects.forgotten()).toBe(3);
});

it('is the same after a restart, and goes on from there', async () => {
  await tested(Full, 0, FAIL, failed(Reason.DarkOnMains));
  await repaired(Full, 1);
  await cared({ owner: 'Anna' });
  const { defects } = await read();
  const stored = JSON.parse(JSON.stringify(defects.state()));
  const again = createDefects(HOUSE, KEYS, inFileOrder(HOUSE), stored);
  expect(again.open()).toEqual(defects.open());
  const { body, ...record } = result(Full, 2, PASS, PASS);
  for (const one of [again, defects]) one.take('a', readRecord(body) as never, { ...record, entry: 99 });
  expect(again.state()).toEqual(defects.state());
  expect(again.open()).toEqual([]);
});
