// Inspections entered by people, through the real log book.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { dueDuties } from '../../../../host/duties/due';
import { dutiesOf } from '../../../../host/duties/duties';
import {
  type Answer,
  checksBetween,
  decideInspection,
  type InspectionWish,
} from '../../../../host/house/notes/inspected';
import { isWritten, writeNote, writeOnce } from '../../../../host/house/notes/notes';
import { noteView } from '../../../../host/house/notes/noteView';
import { siteChangeNote } from '../../../../host/house/notes/siteChange';
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
    ['a control character', { words: 'A\u0007' }, /^What you write must not contain control or invisible/],
    ['a mark that turns text round', { words: 'A\u202eB' }, /^What you write must not contain control or/],
    [
      'an invisible character in a finding',
      { points: dusty(['A-01'], 'du\u200bsty') },
      /^What you write must not contain control or invisible characters: "du/,
    ],
    ['an id that names no journal', { id: 'a b c d e f' }, /^An entry needs an id of its own/],
    ['half a character', { words: '\ud800' }, /^What you write must not contain/],
    ['long words', { words: '長'.repeat(501) }, /^What you write must have 500 characters or fewer/],
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
    [
      'a luminaire of another part',
      { scope: 'circuit a', points: dusty(['A-01', 'B-01']) },
      /^Not in the part that was looked at, circuit a: B-01\.$/,
    ],
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

  it('is no line end: words are stored as one line, like all that people enter', () => {
    const decided = decide(wish({ words: ' two\r\n lines ', points: dusty(['A-01'], 'e\u0301 \n b') }));
    expect('note' in decided && decided.note.fields).toMatchObject({ words: 'two lines' });
    expect('note' in decided && decided.note.fields.points[1].words).toBe('\u00e9 b');
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

describe('where the site file has changed', () => {
  const list = (circuit: string, revision: number, at: number, ...luminaires: string[]) =>
    writeNote(logbook, KEYS, {
      ...{ address: `demo/${circuit}`, kind: 'listed', who: 'Nightproof host', at },
      fields: { revision, luminaires: luminaires.join(' ') },
    });
  /** The house with these luminaires in circuit a. */
  const house = (...lamps: { id: string; formerly?: string[] }[]) => {
    const [a, b] = HOUSE.circuits;
    return {
      ...HOUSE,
      circuits: [{ ...a, luminaires: lamps.map((lamp) => ({ ...a.luminaires[0], ...lamp })) }, b],
    };
  };
  const left = async (site: typeof HOUSE, now: number) => {
    const { inspections } = await readPast(logbook, site, KEYS);
    return dueDuties([WALK], site, inspections, now)[0].left;
  };

  it('a walk has seen only the luminaires that were there', async () => {
    await listFirst(logbook, HOUSE);
    await enter(wish({ done: NOW + 10 * DAY }), NOW + 10 * DAY);
    await list('a', 2, NOW + 20 * DAY, 'A-01', 'A-02', 'A-03');
    const site = house({ id: 'A-01' }, { id: 'A-02' }, { id: 'A-03' });
    // The old ones are due again, the new one not yet.
    expect(await left(site, NOW + 39 * DAY)).toEqual(['A-01', 'A-02', 'B-01']);
    await enter(wish({ scope: 'circuit a', done: NOW + 19 * DAY }), NOW + 30 * DAY);
    expect(await left(site, NOW + 47 * DAY)).toEqual(['A-01', 'A-02', 'B-01']);
    await enter(wish({ scope: 'circuit a', done: NOW + 21 * DAY }), NOW + 30 * DAY);
    expect(await left(site, NOW + 47 * DAY)).toEqual(['B-01']);
  });

  it('a luminaire that came from another circuit was not seen by a walk of the one it is in now', async () => {
    await listFirst(logbook, HOUSE);
    await enter(wish({ scope: 'circuit b', done: NOW + 10 * DAY }), NOW + 10 * DAY);
    await list('b', 2, NOW + 20 * DAY, 'B-01', 'A-02');
    const [a, b] = HOUSE.circuits;
    const luminaires = [...b.luminaires, a.luminaires[1]];
    const site = {
      ...HOUSE,
      circuits: [
        { ...a, luminaires: a.luminaires.slice(0, 1) },
        { ...b, luminaires },
      ],
    };
    expect(await left(site, NOW + 30 * DAY)).toEqual(['A-01', 'A-02']);
  });

  describe('a finding of a luminaire that was moved from circuit a to circuit b', () => {
    const [a, b] = HOUSE.circuits;
    const [first, second] = a.luminaires;
    const moved = {
      ...HOUSE,
      circuits: [
        { ...a, luminaires: [first] },
        { ...b, luminaires: [...b.luminaires, second] },
      ],
    };
    const walk = (scope: string, day: number, more: Partial<InspectionWish> = {}) =>
      enter(wish({ scope, done: NOW + day * DAY, ...more }), NOW + day * DAY);
    const move = async (day: number) => {
      await list('a', 2, NOW + day * DAY, 'A-01');
      await list('b', 2, NOW + day * DAY, 'B-01', 'A-02');
    };
    const found = async (site = moved) =>
      (await readPast(logbook, site, KEYS)).inspections.findings().map(({ luminaire }) => luminaire);
    beforeEach(async () => {
      await listFirst(logbook, HOUSE);
      await walk('circuit a', 10, { points: dusty(['A-02']) });
    });

    it('ends with no look at circuit b before it came there', async () => {
      await walk('circuit b', 11);
      await move(12);
      expect(await found()).toEqual(['A-02']);
      await walk('circuit a', 13);
      expect(await found()).toEqual(['A-02']);
      await walk('circuit b', 14);
      expect(await found()).toEqual([]);
    });

    it('stays ended by a look at circuit a before it left', async () => {
      await walk('circuit a', 11);
      await move(12);
      expect(await found()).toEqual([]);
    });

    it('ends with no look at circuit a before it came back', async () => {
      await move(12);
      await walk('circuit a', 13);
      await list('a', 3, NOW + 14 * DAY, 'A-01', 'A-02');
      await list('b', 3, NOW + 14 * DAY, 'B-01');
      expect(await found(HOUSE)).toEqual(['A-02']);
      expect(await left(HOUSE, NOW + 35 * DAY)).toEqual(['A-02', 'B-01']);
      await walk('circuit a', 15);
      expect(await found(HOUSE)).toEqual([]);
    });
  });

  it('a luminaire was not seen by a walk of an area to which it was moved on the page later', async () => {
    await listFirst(logbook, HOUSE);
    const inHall = wish({ points: dusty(['A-02']), done: NOW + 10 * DAY });
    await enter(inHall, NOW + 10 * DAY);
    await enter(wish({ scope: 'area hall', done: NOW + 11 * DAY }), NOW + 11 * DAY);
    const findings = async () => (await past()).inspections.findings().map(({ luminaire }) => luminaire);
    expect(await findings()).toEqual([]);
    const changes = [{ what: 'luminaire A-02', field: 'area', from: 'stair', to: 'hall' }];
    const fields = { id: 'a-change-of-area', before: '', after: '', changes };
    await writeNote(logbook, KEYS, siteChangeNote(HOUSE, 'Anna', NOW + 12 * DAY, fields));
    expect(await findings()).toEqual(['A-02']);
    // Seen by the walk of the site on day 10, not by that of the area on day 11.
    expect((await past()).inspections.presentSince('A-02', 'area hall')).toBe(NOW + 12 * DAY);
    expect((await past()).inspections.presentSince('A-02', 'site')).toBe(0);
    await enter(wish({ scope: 'area hall', done: NOW + 13 * DAY }), NOW + 13 * DAY);
    expect(await findings()).toEqual([]);
  });

  it('a finding of a renamed luminaire has its new id, and ends with a look at any part that has it', async () => {
    await listFirst(logbook, HOUSE);
    await enter(wish({ points: dusty(['A-01']), done: NOW - 5 * DAY }));
    const site = house({ id: 'N-01', formerly: ['A-01'] }, { id: 'A-02' });
    const found = async () => (await readPast(logbook, site, KEYS)).inspections.findings();
    expect((await found()).map(({ luminaire }) => luminaire)).toEqual(['N-01']);
    await enter(wish({ scope: 'circuit a', done: NOW - DAY }));
    expect(await found()).toEqual([]);
  });

  it('a finding of a luminaire that is gone ends with a look at the circuit that had it', async () => {
    await listFirst(logbook, HOUSE);
    await enter(wish({ points: dusty(['A-02', 'B-01']), done: NOW - 5 * DAY }));
    const site = house({ id: 'A-01' });
    const found = async () =>
      (await readPast(logbook, site, KEYS)).inspections.findings().map(({ luminaire }) => luminaire);
    expect(await found()).toEqual(['A-02', 'B-01']);
    await enter(wish({ scope: 'circuit b', done: NOW - DAY }));
    expect(await found()).toEqual(['A-02']);
    await enter(wish({ scope: 'circuit a', done: NOW - DAY }));
    expect(await found()).toEqual([]);
  });
});

it('keeps a finding and what ended it, however often the same part is looked at again', async () => {
  const none = answers({ point: 'clean', mark: 'not applicable' });
  await enter(wish({ scope: 'circuit a', points: dusty(['A-01']), done: NOW - 20 * DAY }));
  for (let day = 19; day > 10; day--)
    await enter(wish({ scope: 'circuit a', points: none, done: NOW - day * DAY }));
  expect(await open()).toEqual([['A-01', 'dusty']]);
  await enter(wish({ done: NOW - 9 * DAY }));
  for (let day = 8; day > 0; day--) await enter(wish({ points: none, done: NOW - day * DAY }));
  expect(await open()).toEqual([]);
  expect(JSON.stringify((await past()).state().inspections.looks).length).toBeLessThan(3000);
});

it.each(['handover', 'photometric', 'competence'])(
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
