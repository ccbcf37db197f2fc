// Inspections entered by people, through the real log book.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { dutiesOf } from '../../../../host/duties/duties';
import {
  type Answer,
  checksBetween,
  decideInspection,
  type InspectionWish,
} from '../../../../host/house/notes/inspected';
import { isWritten, writeNote, writeOnce } from '../../../../host/house/notes/notes';
import { noteView } from '../../../../host/house/notes/noteView';
import { createPast, readPast } from '../../../../host/house/past';
import { openLogbook } from '../../../../host/logbook/engines/open';
import type { Entry, Logbook } from '../../../../host/logbook/logbook';
import { KEYS } from '../../logbook/records';
import { listFirst } from '../bench';
import { HOUSE } from '../site';

const NOW = 1_770_000_000;
const DAY = 86_400;
const DUTIES = dutiesOf(HOUSE);
const WALK = DUTIES.find(({ id }) => id === 'walk')!;
const ADDRESS = 'demo/*';

let folder: string;
let file: string;
let logbook: Logbook;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-inspected-'));
  file = join(folder, 'log.db');
  logbook = await openLogbook(file);
});
afterEach(async () => {
  await logbook.close();
  rmSync(folder, { recursive: true, force: true });
});

/** All points in order but those given. */
function answers(...others: Partial<Answer>[]): Answer[] {
  return WALK.points.map(({ id }) => {
    const own = others.find(({ point }) => point === id);
    return { point: id, mark: 'in order', luminaires: [], words: '', ...own };
  });
}

let made = 0;
function wish(more: Partial<InspectionWish> = {}): InspectionWish {
  made++;
  return {
    ...{ id: `entry-${made}-of-this-test`, duty: 'walk', who: 'Anna', done: NOW, scope: 'site', words: '' },
    points: answers(),
    ...more,
  };
}

function decide(one: InspectionWish, now = NOW) {
  return decideInspection(HOUSE, DUTIES, one, now);
}

/** Enters it; undefined if the log book had it. */
async function enter(one: InspectionWish, now = NOW): Promise<Entry | undefined> {
  const decided = decide(one, now);
  if ('refusals' in decided) throw new Error(decided.refusals.join(' '));
  return writeOnce(logbook, KEYS, decided.note, one.id);
}

const dusty = (luminaires: string[], words = 'dusty') =>
  answers({ point: 'clean', mark: 'not in order', luminaires, words });
const past = () => readPast(logbook, HOUSE, KEYS);
const open = async () =>
  (await past()).inspections.findings().map(({ luminaire, scope, words }) => [luminaire || scope, words]);

describe('an inspection', () => {
  it('is in the log book in words, by name, signed', async () => {
    const points = answers(
      { point: 'clean', mark: 'not in order', luminaires: ['A-01', 'B-01'], words: 'full of "dust"' },
      { point: 'lit', mark: 'not applicable' },
    );
    const entry = (await enter(wish({ points, words: 'Ladder is broken.', done: NOW - 2 * DAY })))!;
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true, entries: 1 });
    expect(noteView(entry, '*', HOUSE.timeZone)).toMatchObject({
      ...{ circuit: '', kind: 'inspection', mark: 'note' },
      text:
        'Anna did "Walk past every luminaire" for the whole site on Sat 31 Jan 2026, 03:40, entered later: 4 of 6 points ' +
        'in order; 1 not applicable; not in order: Luminaires and signs are clean (A-01, B-01: full of "dust"); ' +
        'Ladder is broken.',
    });
    const whole = (await enter(wish({ scope: 'area hall' })))!;
    expect(noteView(whole, '*', HOUSE.timeZone).text).toBe(
      'Anna did "Walk past every luminaire" for area hall: all 6 points in order.',
    );
  });

  it('keeps every letter of a name, under a signature that covers each of them', async () => {
    const who = 'Łucja Ωνάση 王 🔦';
    const entry = (await enter(wish({ who, points: dusty(['A-01'], 'пыль') })))!;
    const [check] = checksBetween(KEYS, [entry], NOW, NOW + 1);
    expect(check).toMatchObject({ who, scope: 'site', duty: 'walk' });
    expect(check.points[1]).toMatchObject({ point: 'clean', luminaires: ['A-01'], words: 'пыль' });
    // A letter with the same low byte: what is signed is one byte a character.
    const other = { ...entry, body: entry.body.replace('\u0141', '\u0241') };
    expect(other.body).not.toBe(entry.body);
    expect(checksBetween(KEYS, [other], NOW, NOW + 1)).toEqual([]);
  });

  it('is listed by when it was done, also if it was entered later', async () => {
    await enter(wish({ who: 'Early', done: NOW - 3 * DAY }));
    await enter(wish({ who: 'Late', done: NOW }));
    await writeNote(logbook, KEYS, {
      address: 'demo/a',
      kind: 'attended',
      at: NOW,
      who: 'X',
      fields: { from: 0, to: 0 },
    });
    const entries = await logbook.after(0, 100);
    const who = (from: number, until: number) =>
      checksBetween(KEYS, entries, from, until).map((one) => one.who);
    expect(who(0, NOW + 1)).toEqual(['Early', 'Late']);
    expect(who(NOW - 3 * DAY, NOW)).toEqual(['Early']);
    expect(who(NOW - 3 * DAY + 1, NOW)).toEqual([]);
  });
});

describe('the same inspection twice', () => {
  it('is stored once, whatever else is in it, and also after a restart and by another process', async () => {
    const one = wish();
    expect(await enter(one)).toMatchObject({ entry: 1 });
    expect(await enter(one)).toBeUndefined();
    expect(await enter({ ...one, who: 'Bert' })).toBeUndefined();
    await logbook.close();
    logbook = await openLogbook(file);
    expect(await isWritten(logbook, ADDRESS, one.id)).toBe(true);
    expect(await enter(one, NOW + DAY)).toBeUndefined();
    const other = await openLogbook(file);
    const late = wish();
    const decided = decide(late);
    if ('refusals' in decided) throw new Error(decided.refusals.join());
    // The other process writes between our look and our writing.
    const between: Pick<Logbook, 'appendNext' | 'lastOf'> = {
      appendNext: (...args) => logbook.appendNext(...args),
      async lastOf(...args) {
        const before = await logbook.lastOf(...args);
        await writeOnce(other, KEYS, decided.note, late.id);
        return before;
      },
    };
    expect(await writeOnce(between, KEYS, decided.note, late.id)).toBeUndefined();
    await other.close();
    expect(await logbook.entries()).toBe(2);
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true });
    expect(await enter(wish())).toMatchObject({ entry: 3 });
  });
});

describe('what is wrong with an entry', () => {
  it.each<[string, Partial<InspectionWish>, RegExp]>([
    ['no name', { who: ' ' }, /^Give your name/],
    ['a long name', { who: 'a'.repeat(41) }, /^Give your name/],
    ['a control character', { words: 'A\u0007' }, /^Leave out characters that cannot be printed/],
    ['an id that names no journal', { id: 'a b c d e f' }, /^An entry needs an id of its own/],
    ['half a character', { words: '\ud800' }, /^Leave out characters/],
    ['long words', { words: '長'.repeat(501) }, /^Use 500 characters or fewer/],
    ['another duty', { duty: 'look' }, /^This site has no duty "look"/],
    ['an unknown part', { scope: 'area attic' }, /^"area attic" is no part of this site/],
    ['the future', { done: NOW + 3600 }, /^That time has not come yet/],
    ['no time', { done: 0 }, /^Give the time at which it was done/],
    [
      'a point left out',
      { points: answers().slice(1) },
      /^"Every luminaire and sign is in its place.+" needs one answer/,
    ],
    ['a point twice', { points: [...answers(), answers()[0]] }, /needs one answer/],
    ['a finding without words', { points: dusty([], '') }, /^Say what is not in order/],
    ['an unknown luminaire', { points: dusty(['A-01', 'Z-9']) }, /^The site has no luminaire Z-9/],
    [
      'a luminaire that is in order',
      { points: answers({ point: 'clean', luminaires: ['A-01'] }) },
      /but it is in order/,
    ],
  ])('is said in one sentence: %s', (_what, more, sentence) => {
    const decided = decide(wish(more));
    expect('refusals' in decided && decided.refusals).toEqual([expect.stringMatching(sentence)]);
  });

  it('is not that a phone is a minute ahead: then it is done now', () => {
    const decided = decide(wish({ done: NOW + 60 }));
    expect('note' in decided && decided.note.fields.done).toBe(NOW);
  });

  it('is a part where the whole site must be looked at', () => {
    const points = DUTIES.find(({ id }) => id === 'key')!.points.map(({ id }) => ({
      ...answers()[0],
      point: id,
    }));
    expect(decide(wish({ duty: 'key', points }))).toHaveProperty('note');
    expect(decide(wish({ duty: 'key', points, scope: 'circuit a' }))).toHaveProperty('refusals');
  });
});

describe('a finding', () => {
  it('stays open until the same point of the same place is entered as in order', async () => {
    await enter(wish({ points: dusty(['A-01', 'B-01']), done: NOW - 5 * DAY }));
    expect(await open()).toEqual([
      ['A-01', 'dusty'],
      ['B-01', 'dusty'],
    ]);
    await enter(wish({ points: answers({ point: 'clean', mark: 'not applicable' }), done: NOW - 4 * DAY }));
    expect(await open()).toHaveLength(2);
    await enter(wish({ scope: 'circuit a', done: NOW - 3 * DAY }));
    expect(await open()).toEqual([['B-01', 'dusty']]);
    await enter(wish({ points: dusty(['B-01'], 'black'), done: NOW - 2 * DAY }));
    const [finding] = (await past()).inspections.findings();
    expect(finding).toMatchObject({
      words: 'black',
      since: NOW - 5 * DAY,
      done: NOW - 2 * DAY,
      point: 'clean',
    });
    await enter(wish({ scope: 'luminaire B-01' }));
    expect(await open()).toEqual([]);
  });

  it('is not opened again by an entry that arrives after one that was done later', async () => {
    await enter(wish({ done: NOW - DAY }));
    await enter(wish({ points: dusty(['A-01']), done: NOW - 2 * DAY }));
    expect(await open()).toEqual([]);
    expect((await past()).inspections.last('walk', 'site')).toMatchObject({ entry: 1, done: NOW - DAY });
  });

  it('without a luminaire is about the part that was looked at', async () => {
    await enter(wish({ scope: 'area hall', points: dusty([], 'everything'), done: NOW - DAY }));
    expect(await open()).toEqual([['area hall', 'everything']]);
    await enter(wish({ scope: 'circuit a' }));
    expect(await open()).toHaveLength(1);
    await enter(wish({ scope: 'area hall' }));
    expect(await open()).toEqual([]);
  });
});

it.each(['handover', 'photometric'])(
  'leaves %s due until something is, and nothing is not, in order',
  async (duty) => {
    const { points } = DUTIES.find(({ id }) => id === duty)!;
    const all = (mark: Answer['mark']): Answer[] =>
      points.map(({ id }) => ({
        point: id,
        mark,
        luminaires: [],
        words: mark === 'not in order' ? 'missing' : '',
      }));
    const last = async () => (await past()).inspections.last(duty, 'site');
    await enter(wish({ duty, points: [...all('not in order').slice(0, 1), ...all('in order').slice(1)] }));
    await enter(wish({ duty, points: all('not applicable') }));
    expect(await last()).toBeUndefined();
    await enter(wish({ duty, points: all('in order') }));
    expect(await last()).toMatchObject({ entry: 3 });
  },
);

it('is known by a host that starts from what it stored as by one that reads every entry', async () => {
  await listFirst(logbook, HOUSE);
  await enter(wish({ points: dusty(['A-01']), done: NOW - 2 * DAY }));
  const half = await past();
  const stored = JSON.parse(JSON.stringify(half.state()));
  await enter(wish({ scope: 'luminaire A-02', points: dusty([], 'hidden by a plant') }));
  const all = await past();
  const on = createPast(HOUSE, KEYS, stored);
  for (const entry of await logbook.after(0, 100)) on.take(entry);
  expect(on.state()).toEqual(all.state());
  expect(on.inspections.findings()).toHaveLength(2);
  expect(on.inspections.since).toBe(1_770_000_000);
});

it('of another host, or without its signature, counts for nothing', async () => {
  const decided = decide(wish());
  if ('refusals' in decided) throw new Error(decided.refusals.join());
  await writeNote(logbook, KEYS, { ...decided.note, address: 'other/*' });
  const [entry] = await logbook.after(0, 1);
  const forged = { ...entry, address: 'demo/*/host' };
  const reader = createPast(HOUSE, KEYS);
  for (const one of [entry, { ...forged, entry: 2 }]) reader.take(one);
  expect(reader.inspections.last('walk', 'site')).toBeUndefined();
});
