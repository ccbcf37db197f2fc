import { createHash } from 'node:crypto';
import { expect, it } from 'vitest';
import { OrderKind, Reason } from '../../../firmware/contract/codes';
import { writeNote, writeOnce } from '../../../host/house/notes/notes';
import { createPast, readPast, replay } from '../../../host/house/past';
import { newPastStore, PAST_VERSION, storedPast } from '../../../host/house/pastStore';
import { seededKeys } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import type { Logbook } from '../../../host/logbook/logbook';
import type { Luminaire, Site } from '../../../host/site/model';
import { KEYS, newJournal, resultFields } from '../logbook/records';
import { listFirst, newMemory } from './bench';
import { HOUSE } from './site';

const A = 'demo/a';
const NOW = 1_770_000_000;
const PASS = [1, 0, 90, 300, 300, 290, 2];
const FAIL = [2, 1, 0, 0, 0, 0, 2];

/** A log book with everything in it that the past is made of. */
async function newBook(): Promise<Logbook> {
  const logbook = await openLogbook(':memory:');
  await listFirst(logbook, HOUSE);
  const journal = newJournal(A);
  const order = { counter: 1, do: OrderKind.Hold, arg: 3600, reason: Reason.None, who: 'Anna' };
  await logbook.appendBatch([
    journal.record('result', resultFields([PASS, FAIL], { type: 2 })),
    journal.record('result', resultFields([PASS, PASS], { test: 2, end: Reason.OrderedRestore })),
    journal.record('held', { reason: 23, arg: 0 }),
    journal.record('reminder', { reason: 23, arg: 0 }),
    journal.record('order', order),
  ]);
  const note = { address: A, at: NOW, who: 'Anna' };
  const currents = { battery: 300, mains: 0 };
  const lamps = [{ luminaire: 'A-01', site: currents, old: currents, new: { battery: 280, mains: 0 } }];
  const notes = [
    { kind: 'baseline', fields: { lamps } },
    { kind: 'attended', fields: { from: NOW, to: NOW + 3600 } },
    { kind: 'repaired', fields: { luminaires: 'A-02', what: 'lamp changed', retest: 2 } },
    {
      kind: 'defect',
      fields: { luminaire: 'A-02', owner: 'Žofie', due: '2032-01-31', interim: '', words: '' },
    },
  ] as const;
  for (const one of notes) await writeNote(logbook, KEYS, { ...note, ...one });
  const answer = { luminaires: ['A-01'], words: '', asked: 'It is clean.' };
  const points = [
    { ...answer, point: 'clean', mark: 'not in order' },
    { ...answer, point: 'present', mark: 'in order', luminaires: [] },
  ];
  const fields = {
    id: 'walk-0001',
    duty: 'walk',
    title: 'Walk',
    done: NOW,
    scope: 'site',
    points,
    words: '',
  };
  const walk = { ...note, address: 'demo/*', kind: 'inspection' } as const;
  await writeOnce(logbook, KEYS, { ...walk, fields }, fields.id);
  const wrong = await writeOnce(
    logbook,
    KEYS,
    { ...walk, fields: { ...fields, id: 'walk-0002' } },
    'walk-0002',
  );
  const withdrawn = { ...note, address: 'demo/*', kind: 'withdrawn' } as const;
  await writeNote(logbook, KEYS, { ...withdrawn, fields: { withdraws: wrong!.entry, why: 'twice' } });
  return logbook;
}

async function stored(logbook: Logbook) {
  const options = { site: HOUSE, keys: KEYS, memory: newMemory() };
  const past = await readPast(logbook, HOUSE, KEYS);
  newPastStore(options, 0).keep(past, true);
  return { options, past };
}

it('starts with the same past as one that reads every entry, and goes on from there', async () => {
  const logbook = await newBook();
  const { options, past } = await stored(logbook);
  await logbook.appendBatch([newJournal('demo/b').record('result', resultFields([FAIL], { type: 1 }))]);
  const again = createPast(HOUSE, KEYS, await storedPast(options, logbook));
  expect(again.entry()).toBe(past.entry());
  const read: number[] = [];
  await replay(logbook, again.entry(), (entry) => {
    read.push(entry.entry);
    again.take(entry);
  });
  expect(read).toEqual([past.entry() + 1]);
  const whole = await readPast(logbook, HOUSE, KEYS);
  expect(again.state()).toEqual(whole.state());
  for (const { id } of HOUSE.circuits) {
    expect(again.notes.of(id)).toEqual(whole.notes.of(id));
    expect(again.history.of(id)).toEqual(whole.history.of(id));
    expect(again.defects.open()).toEqual(whole.defects.open());
  }
  expect(again.notes.of('a').inForce.luminaires[0].batteryMilliamps).toBe(280);
});

it('holds no stored text in memory where the past was given and nobody reads it', async () => {
  const { options } = await stored(await newBook());
  expect(options.memory.recall('past')).not.toBe('');
  newPastStore(options, 0);
  expect(options.memory.recall('past')).toBe('');
});

it('throws away what is changed, of another site file or secret, or not of this log book', async () => {
  const logbook = await newBook();
  const { options } = await stored(logbook);
  const text = options.memory.recall('past');
  const holding = (past: string) => {
    const memory = newMemory();
    memory.put('past', past);
    return { ...options, memory };
  };
  expect(await storedPast(holding(text), logbook)).toBeDefined();
  for (let at = 0; at < text.length; at += 7) {
    const flipped = text.slice(0, at) + String.fromCharCode(text.charCodeAt(at) ^ 1) + text.slice(at + 1);
    expect(await storedPast(holding(flipped), logbook)).toBeUndefined();
  }
  const [, b] = HOUSE.circuits;
  const other = { ...HOUSE, circuits: [{ ...b, id: 'a' }, b] };
  expect(await storedPast({ ...holding(text), site: other }, logbook)).toBeUndefined();
  expect(await storedPast({ ...holding(text), keys: seededKeys(2) }, logbook)).toBeUndefined();
  const shorter = await openLogbook(':memory:');
  expect(await storedPast(holding(text), shorter)).toBeUndefined();
  const twin = newJournal(A);
  await shorter.appendBatch(Array.from({ length: 20 }, () => twin.record()));
  expect(await storedPast(holding(text), shorter)).toBeUndefined();
});

/** The site with luminaire A-01 changed. */
function withLamp(change: Partial<Luminaire>, site: Site = HOUSE): Site {
  const [a, ...others] = site.circuits;
  const [first, ...more] = a.luminaires;
  return { ...site, circuits: [{ ...a, luminaires: [{ ...first, ...change }, ...more] }, ...others] };
}

const [CIRCUIT_A, CIRCUIT_B] = HOUSE.circuits;
const UNREAD: [string, Site][] = [
  ['a name', { ...HOUSE, name: 'Another house' }],
  ['who is responsible', { ...HOUSE, responsible: 'Another caretaker' }],
  ['hours', { ...HOUSE, windows: [], opening: [{ days: ['mon'], from: 480, to: 1080 }] }],
  ['dates', { ...HOUSE, closedDates: ['2026-12-25'], noTestDates: ['2026-12-24'], engineerDays: ['mon'] }],
  ['a floor', { ...HOUSE, floors: [{ id: 'g', name: 'Cellar' }] }],
  ['a floor plan', { ...HOUSE, floorPlans: [{ id: 'p', name: 'P', picture: 'p.svg', floor: 'g' }] }],
  ['an area', { ...HOUSE, areas: HOUSE.areas.map((area) => ({ ...area, name: 'Lobby', adjacent: ['x'] })) }],
  ['a circuit', { ...HOUSE, circuits: [{ ...CIRCUIT_A, name: 'A', floor: 'x', areas: [] }, CIRCUIT_B] }],
  ['a place', withLamp({ place: 'stair' })],
  ['a spot', withLamp({ spot: { floorPlan: 'p', across: 1, down: 2 } })],
  ['areas that are lit', withLamp({ serves: [] })],
  ['a battery', withLamp({ batteryFitted: '2026-01-01', batteriesBefore: ['2024-03-01'] })],
  ['the simulation', { ...HOUSE, simulation: { ...HOUSE.simulation, historyDays: 9 } }],
];

it.each(UNREAD)('is kept, and is what every entry says, after a change of %s', async (_, site) => {
  const logbook = await newBook();
  const { options } = await stored(logbook);
  const kept = await storedPast({ ...options, site }, logbook);
  expect(kept).toBeDefined();
  const [again, whole] = [createPast(site, KEYS, kept), await readPast(logbook, site, KEYS)];
  expect(again.state()).toEqual(whole.state());
  expect(again.inspections.findings()).toEqual(whole.inspections.findings());
  for (const { id } of site.circuits) expect(again.notes.of(id)).toEqual(whole.notes.of(id));
});

const READ: [string, Site][] = [
  ['an id', withLamp({ id: 'A-09' })],
  ['a former id', withLamp({ formerly: ['A-02'] })],
  ['a current', withLamp({ batteryMilliamps: 310 })],
  ['the current on mains', withLamp({ mainsMilliamps: 200 })],
  ['the area of a luminaire', withLamp({ area: 'stair' })],
  ['the rated time', withLamp({ ratedSec: 10_800 })],
  ['the mode', withLamp({ mode: 'maintained' })],
  ['the order', { ...HOUSE, circuits: [CIRCUIT_B, CIRCUIT_A] }],
  [
    'the order of sensors',
    { ...HOUSE, circuits: [{ ...CIRCUIT_A, luminaires: CIRCUIT_A.luminaires.toReversed() }, CIRCUIT_B] },
  ],
  ['the long test', { ...HOUSE, circuits: [{ ...CIRCUIT_A, alwaysOccupied: true }, CIRCUIT_B] }],
  ['the rules', { ...HOUSE, profile: 'nfpa101' }],
];

it.each(READ)('is thrown away after a change of %s', async (_, site) => {
  const logbook = await newBook();
  const { options } = await stored(logbook);
  expect(await storedPast({ ...options, site }, logbook)).toBeUndefined();
});

it('has another version number as soon as the same entries make another past', async () => {
  const past = await readPast(await newBook(), HOUSE, KEYS);
  const { entry: _entry, hash: _hash, ...made } = past.state();
  const digest = createHash('sha256').update(JSON.stringify(made)).digest('hex');
  // Another digest: raise PAST_VERSION, so that no host goes on from what an earlier version made of its entries.
  expect([PAST_VERSION, digest.slice(0, 16)]).toEqual([15, '33b3c805bcdfbbfa']);
});
