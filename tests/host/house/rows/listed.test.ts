// Whatever becomes of the site file, the row of a result stays with the luminaire that was tested.
import { afterEach, beforeEach, expect, it } from 'vitest';
import { TestKind } from '../../../../firmware/contract/codes';
import { noteLists } from '../../../../host/house/notes/listing';
import { type Past, readPast } from '../../../../host/house/past';
import { luminaireHistory } from '../../../../host/house/view/luminaireHistory';
import { recordText } from '../../../../host/house/view/recordView';
import { openLogbook } from '../../../../host/logbook/engines/open';
import type { Logbook } from '../../../../host/logbook/logbook';
import { readRecord } from '../../../../host/records/schema';
import type { Circuit, Luminaire, Site } from '../../../../host/site/model';
import { KEYS, newJournal, resultFields } from '../../logbook/records';
import { newLoggedHouse } from '../bench';
import { HOUSE } from '../site';

const PASS = [1, 0, 90, 300, 300, 290, 2];
const FAIL = [2, 33, 0, 0, 0, 0, 2];
const [a, b] = HOUSE.circuits;
const [first, second] = a.luminaires;
const NEW: Luminaire = { ...first, id: 'NEW-1' };

let logbook: Logbook;
const journals = new Map<string, ReturnType<typeof newJournal>>();

beforeEach(async () => {
  logbook = await openLogbook(':memory:');
  journals.clear();
});
afterEach(async () => await logbook.close());

/** The house with these luminaires in its two circuits. */
const house = (inA: Luminaire[], inB: Luminaire[] = b.luminaires): Site => ({
  ...HOUSE,
  circuits: [a, b].map((one, i): Circuit => ({ ...one, luminaires: i === 0 ? inA : inB })),
});

/** The host notes that a revision of the settings describes the luminaires of this site file. */
async function list(site: Site, revision: number): Promise<void> {
  await noteLists({
    ...{ site, logbook, keys: KEYS, revisionOf: () => revision, listed: () => undefined },
    ...{ take: () => {}, now: () => 1_770_000_000 },
  });
}

/** A result comes from a circuit's controller, which has this revision of its settings. */
async function tested(circuit: string, settings: number, rows: number[][], type = TestKind.Full) {
  const address = `demo/${circuit}`;
  const journal = journals.get(circuit) ?? newJournal(address);
  journals.set(circuit, journal);
  await logbook.appendBatch([journal.record('result', resultFields(rows, { settings, type }))]);
}

const past = (site: Site): Promise<Past> => readPast(logbook, site, KEYS);

/** Each luminaire of a circuit with what is known of it. */
async function verdicts(site: Site, circuit = 'a'): Promise<string[]> {
  const { history } = await past(site);
  return history.of(circuit).lamps.map(({ luminaire, verdict }) => `${luminaire}: ${verdict}`);
}

it('stays through an insertion, in a result from before and in one that was on its way', async () => {
  await list(HOUSE, 7);
  await tested('a', 7, [FAIL, PASS]);
  const later = house([NEW, first, second]);
  expect(await verdicts(later)).toEqual(['NEW-1: untested', 'A-01: fail', 'A-02: pass']);
  await list(later, 8);
  await tested('a', 7, [PASS, FAIL]);
  expect(await verdicts(later)).toEqual(['NEW-1: untested', 'A-01: pass', 'A-02: fail']);
  await tested('a', 8, [FAIL, PASS, PASS]);
  expect(await verdicts(later)).toEqual(['NEW-1: fail', 'A-01: pass', 'A-02: pass']);
});

it('stays when luminaires change places, one is taken away, or one moves to another circuit', async () => {
  await list(HOUSE, 7);
  await tested('a', 7, [FAIL, PASS]);
  expect(await verdicts(house([second, first]))).toEqual(['A-02: pass', 'A-01: fail']);
  expect(await verdicts(house([second]))).toEqual(['A-02: pass']);
  const moved = house([second], [b.luminaires[0], first]);
  expect(await verdicts(moved, 'b')).toEqual(['B-01: untested', 'A-01: fail']);
});

it('stays with a luminaire that has a new id and says which it had, and starts anew with one that does not', async () => {
  await list(HOUSE, 7);
  await tested('a', 7, [FAIL, PASS]);
  const renamed = house([{ ...first, id: 'GATE-1', formerly: ['A-01'] }, second]);
  expect(await verdicts(renamed)).toEqual(['GATE-1: fail', 'A-02: pass']);
  expect(await verdicts(house([{ ...first, id: 'GATE-2' }, second]))).toEqual([
    'GATE-2: untested',
    'A-02: pass',
  ]);
});

it('is nobody’s when the log book does not say whom the settings described', async () => {
  await tested('a', 7, [FAIL, PASS]);
  expect(await verdicts(HOUSE)).toEqual(['A-01: untested', 'A-02: untested']);
  const { notes, history } = await past(HOUSE);
  // That the circuit was tested is known all the same.
  expect(history.of('a').last.lastFull).toBe(1_770_000_000);
  const record = readRecord((await logbook.results('demo/a', 1))[0].body)!;
  expect(recordText(record, (revision) => notes.listed('a', revision))).toContain(
    'Luminaire 1 of a list that this log book does not hold (settings 7): ',
  );
});

it('is listed once: a second list for the same settings changes nothing', async () => {
  await list(HOUSE, 7);
  await list(house([second, first]), 7);
  await tested('a', 7, [FAIL, PASS]);
  expect(await verdicts(HOUSE)).toEqual(['A-01: fail', 'A-02: pass']);
});

it('is in the history of its luminaire from every circuit it was in, with the curve of its own row', async () => {
  await list(HOUSE, 7);
  await tested('a', 7, [FAIL, PASS]);
  const moved = house([second], [b.luminaires[0], { ...first, id: 'B-02', formerly: ['A-01'] }]);
  await list(moved, 9);
  await tested('b', 9, [PASS, PASS], TestKind.Brief);
  const { notes } = await past(moved);
  const entries = [...(await logbook.results('demo/b', 9)), ...(await logbook.results('demo/a', 9))];
  const { results } = luminaireHistory(moved.circuits[1], 1, entries, 'UTC', notes.listed);
  expect(results.map(({ kind, verdict }) => `${kind} ${verdict}`)).toEqual(['brief pass', 'full fail']);
});

it('another order of luminaires alone is another revision, and so is a new id', async () => {
  const { house: running, memory, refresh } = await newLoggedHouse(logbook);
  refresh(1_770_000_000);
  await memory.written();
  const before = running.desired.settingsRevision('a');
  for (const changed of [house([second, first]), house([{ ...first, id: 'GATE-1' }, second])]) {
    const again = await newLoggedHouse(logbook, { site: changed });
    again.refresh(1_770_000_060);
    expect(again.house.desired.settingsRevision('a')).toBeGreaterThan(before!);
    expect(again.house.desired.settingsRevision('b')).toBe(running.desired.settingsRevision('b'));
    await again.memory.written();
  }
});
