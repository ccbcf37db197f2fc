// What stands in the way of a change on the page, with the house that judges by what controllers last reported.
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Phase, Reason, StateBit, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import type { StateMessage } from '../../../firmware/contract/messages';
import type { Change, TakingView } from '../../../host/api/site';
import { createHouse, type House } from '../../../host/house/house';
import { openLogbook } from '../../../host/logbook/engines/open';
import { type Logbook, LogbookError } from '../../../host/logbook/logbook';
import { readRecord } from '../../../host/records/schema';
import { settleSiteFile } from '../../../host/serve/siteFile';
import { loadSite } from '../../../host/site/load';
import { createSiteDoor, type NextSite, type SiteDoor } from '../../../host/siteDoor/door';
import { readSiteText, revisionOf } from '../../../host/siteDoor/file';
import { STALE } from '../../../host/siteDoor/refusals';
import { newMemory } from '../house/bench';
import { KEYS, newJournal } from '../logbook/records';
import { SMALL } from '../site/small';

const NOW = 1770000000;
const OTHER = `  - id: two
    name: Circuit two
    floor: ground
    ratedMinutes: 180
    chemistry: NiMH
    batteryFitted: 2024-02-29
    luminaires:
      - { id: B-1, place: Stairs, area: hall, mode: maintained, batteryMilliamps: 100, mainsMilliamps: 120 }
`;
const TEXT = SMALL + OTHER;

let folder: string;
let file: string;
let logbook: Logbook;
let house: House;
let saved: NextSite | undefined;
let waiting: TakingView | null;
let up: number;
/** UTC second. */
let now: number;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-site-door-'));
  file = join(folder, 'mill.yaml');
  writeFileSync(file, TEXT);
  logbook = await openLogbook(join(folder, 'log.db'));
  [up, saved, waiting] = [0, undefined, null];
  now = NOW;
});
afterEach(async () => {
  await logbook.close();
  rmSync(folder, { recursive: true, force: true });
});

function newDoor(book: Logbook = logbook): SiteDoor {
  const loaded = loadSite(file);
  if ('mistakes' in loaded) throw new Error('The site file has mistakes.');
  const { site } = loaded;
  house = createHouse({
    ...{ site, keys: KEYS, memory: newMemory(), simulated: false },
    ...{ heartbeatSec: 60, slackSec: () => 5, upSec: () => up },
  });
  return createSiteDoor({
    ...{ site, file, inForce: revisionOf(readSiteText(file)), fixed: '', logbook: book, keys: KEYS, house },
    apply: async (entry) => void house.apply({ kind: 'entry', entry }),
    ...{ now: () => now, takeOver: (next: NextSite) => (saved = next), taking: () => waiting },
  });
}

function report(more: Partial<StateMessage>): void {
  const state: StateMessage = {
    ...{ v: 1, journal: '0a1b2c3d', boot: 1, up: 9, utc: NOW, clock: 2, phase: Phase.Charged, reason: 0 },
    ...{ waiting: 0, bits: StateBit.SupplyBefore | StateBit.SupplyAfter, test: 0, type: 0, since: 0 },
    ...{ charged: 0, last: 0, acked: 0, settings: 0, plan: 0, overdue: 0, refused: 0 },
    ...more,
  };
  house.apply({ kind: 'state', circuit: 'one', state, heardAt: NOW, heardUp: up });
}

const TESTING = { phase: Phase.Full, type: TestKind.Full, test: 7, since: NOW };
const PLACE: Change = { do: 'set', part: 'luminaires', id: 'A-2', field: 'place', value: 'Loft' };
const NAME: Change = { do: 'set', part: 'site', id: '', field: 'name', value: 'The mill' };
const RENAME: Change = { do: 'rename', part: 'circuits', id: 'one', to: 'first' };
const REMOVE: Change[] = [
  { do: 'set', part: 'luminaires', id: 'B-1', field: 'serves', value: ['loft'] },
  { do: 'remove', part: 'circuits', id: 'one' },
];

async function answer(door: SiteDoor, ...changes: Change[]): Promise<string> {
  const wish = { revision: revisionOf(readSiteText(file)), who: 'Ada Vail', changes };
  return (await door.change(wish, now)).answer;
}
const SAVED = 'Saved, and entered in the log book. The host is taking it over.';

describe('a file edited by hand since the host started', () => {
  const HAND =
    'Nothing was saved: mill.yaml was changed by hand since the host was started; start the host again, or put the file back as it was.';

  it.each([
    ['a current', TEXT.replace('batteryMilliamps: 150', 'batteryMilliamps: 155')],
    ['the id of the site', TEXT.replace('id: mill', 'id: other')],
    [
      'a luminaire that is gone',
      TEXT.replace(/ {6}- \{ id: A-2.*\n/, '').replace(
        'area: hall, mode',
        'area: hall, serves: [loft], mode',
      ),
    ],
  ])('is not taken over with a word saved on the page: %s', async (_, edited) => {
    const door = newDoor();
    report(TESTING);
    writeFileSync(file, edited);
    expect(await answer(door, NAME)).toBe(HAND);
    expect(readFileSync(file, 'utf8')).toBe(edited);
    writeFileSync(file, TEXT);
    expect(await answer(door, NAME)).toBe(SAVED);
  });

  it('is saved on where only its comments are others', async () => {
    const door = newDoor();
    writeFileSync(file, `${TEXT}# Seen.\n`);
    expect(await answer(door, NAME)).toBe(SAVED);
    expect(readFileSync(file, 'utf8')).toBe(`${TEXT.replace('The old mill', 'The mill')}# Seen.\n`);
  });
});

it('shows one and the same until the file, or how far the host is with a change, is another', async () => {
  const door = newDoor();
  const view = await door.view();
  expect(await door.view()).toBe(view);
  writeFileSync(file, TEXT.replace('Circuit two', 'The stairs'));
  const edited = await door.view();
  expect(edited).toMatchObject({ inForce: false, data: { circuits: [{}, { name: 'The stairs' }] } });
  waiting = { percent: 5, waits: '' };
  const taking = await door.view();
  expect([taking.revision, taking.taking]).toEqual([edited.revision, waiting]);
});

it('the second of two changes waits until the host has taken over the first', async () => {
  const door = newDoor();
  expect(await answer(door, NAME)).toBe(SAVED);
  expect(await answer(door, PLACE)).toBe(
    'Nothing was saved: the host is still taking over the last change; save again when it has.',
  );
});

describe('a circuit keeps its id while there is something to tell of it', () => {
  const told = (words: string) =>
    `Nothing was saved: ${words} circuit one, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.`;
  const CASES: [string, Partial<StateMessage>, string][] = [
    ['a fault', { phase: Phase.Fault, reason: Reason.RelayStuckOpen }, told('a tester fault is reported on')],
    ['an outage', { phase: Phase.Outage, bits: 0 }, told('the mains is missing on')],
    ['a hold', { phase: Phase.Held, reason: Reason.OrderedHold }, told('tests are held on')],
    ['no supply', { bits: StateBit.SupplyBefore }, told('the supply is not proven on')],
    ['inputs not read yet', { phase: Phase.Starting, bits: 0 }, told('the supply is not proven on')],
  ];

  it.each(CASES)('%s', async (_, state, sentence) => {
    const door = newDoor();
    report(state);
    expect(await answer(door, RENAME)).toBe(sentence);
    expect(await answer(door, ...REMOVE)).toBe(sentence);
    up += 3600;
    expect(await answer(door, RENAME)).toBe(sentence);
    expect(readFileSync(file, 'utf8')).toBe(TEXT);
    // The circuit stays, and its alarm with it.
    expect(await answer(door, { ...PLACE, field: 'batteryMilliamps', value: 160 })).toBe(SAVED);
  });

  it('a fault of which only the log book tells, because the controller has not been heard since', async () => {
    const door = newDoor();
    const record = newJournal('mill/one').record('fault', {
      ...{ test: 0, type: 0, reason: Reason.RelayStuckOpen, arg: 0 },
    });
    await logbook.appendBatch([record]);
    const [entry] = await logbook.after(0, 1);
    house.apply({ kind: 'entry', entry, record: readRecord(entry.body) });
    expect(house.view.controller('one', NOW).troubleAt.fault).toBeGreaterThan(0);
    expect(await answer(door, RENAME)).toBe(told('a tester fault is reported on'));
  });

  it.each([
    ['renamed', [RENAME]],
    ['removed', REMOVE],
  ])('and is %s once all is well', async (_, changes) => {
    const door = newDoor();
    report({ phase: Phase.Fault });
    report({});
    expect(await answer(door, ...changes)).toBe(SAVED);
  });

  it('a test that nobody saw the end of', async () => {
    const door = newDoor();
    report({ ...TESTING, bits: StateBit.SupplyBefore | StateBit.RelayOpen });
    up += 3600;
    expect(house.view.controller('one', NOW).contact).toBe('silent');
    const silent =
      'Nothing was saved: a test was running on circuit one, which this changes, when its controller was last heard; if the controller is gone for good, change the file itself, and start the host again.';
    expect(await answer(door, RENAME)).toBe(silent);
    expect(await answer(door, { ...PLACE, field: 'batteryMilliamps', value: 160 })).toBe(silent);
    // Whatever became of the controller, no relay stays open for longer.
    now += Limit.OpenCapSec + Limit.OpenGraceSec + 1;
    expect(await answer(door, RENAME)).toBe(told('the supply is not proven on'));
    expect(await answer(door, { ...PLACE, field: 'batteryMilliamps', value: 160 })).toBe(SAVED);
  });

  it('a change that was saved says what ends its wait for a test that nobody sees the end of', async () => {
    const door = newDoor();
    report({});
    expect(await answer(door, { ...PLACE, field: 'batteryMilliamps', value: 160 })).toBe(SAVED);
    door.takeOver();
    report(TESTING);
    const running = 'a test is running on circuit one, which this changes';
    expect(saved?.hindrance()).toBe(running);
    up += 3600;
    const silent =
      'a test was running on circuit one, which this changes, when its controller was last heard; if the controller is gone for good, start the host again';
    expect(saved?.hindrance()).toBe(silent);
    waiting = { percent: 100, waits: silent };
    expect(await answer(door, NAME)).toBe(
      `Nothing was saved: the host still waits with the last change: ${silent}.`,
    );
    now += Limit.OpenCapSec + Limit.OpenGraceSec + 1;
    expect(saved?.hindrance()).toBe('');
  });
});

it('enters what the log book could not take before anything else is saved', async () => {
  let isFull = true;
  const append: Logbook['appendNext'] = (...given) =>
    isFull ? Promise.reject(new LogbookError('The disk is full.')) : logbook.appendNext(...given);
  const { memory } = logbook;
  const book = { memory, appendNext: append, lastOf: logbook.lastOf.bind(logbook) } as Partial<Logbook>;
  const door = newDoor(book as Logbook);
  const OWED = 'Saved, but the log book could not take it yet. The disk is full.';
  expect(await answer(door, PLACE)).toContain(OWED);
  const loft = readFileSync(file, 'utf8');
  const wait = 'Nothing was saved: the log book still could not take the change before. The disk is full.';
  expect(await answer(door, NAME)).toBe(wait);
  // Even if somebody puts the file back.
  writeFileSync(file, TEXT);
  expect(await answer(door, NAME)).toBe(wait);
  writeFileSync(file, loft);
  isFull = false;
  expect(await answer(door, NAME)).toBe(
    'Nothing was saved: the last change was saved, but the host does not work with it yet; start the host again.',
  );
  const entries = await logbook.after(0, 9);
  expect(entries.map(({ kind }) => kind)).toEqual(['site']);
  expect(entries[0].body).toContain('Loft');
  writeFileSync(file, TEXT);
  expect(await answer(door, NAME)).toBe(SAVED);
});

it('enters what was changed by hand, and not taken at the start, before it saves anything', async () => {
  let isFull = true;
  const append: Logbook['appendNext'] = (...given) =>
    isFull ? Promise.reject(new LogbookError('The disk is full.')) : logbook.appendNext(...given);
  const { memory } = logbook;
  const book = { memory, appendNext: append, lastOf: logbook.lastOf.bind(logbook) } as Partial<Logbook>;
  const begin = async () => {
    const loaded = loadSite(file);
    if ('mistakes' in loaded) throw new Error('The site file has mistakes.');
    await settleSiteFile(
      { site: loaded.site, siteFile: file, takeOver: () => {} },
      book as Logbook,
      KEYS,
      NOW,
    );
    return newDoor(book as Logbook);
  };
  await begin();
  const edited = TEXT.replace('batteryMilliamps: 150', 'batteryMilliamps: 155');
  writeFileSync(file, edited);
  const door = await begin();
  expect(await answer(door, NAME)).toBe(
    'Nothing was saved: the log book still could not take the change before. The disk is full.',
  );
  expect(readFileSync(file, 'utf8')).toBe(edited);
  isFull = false;
  expect(await answer(door, NAME)).toBe(SAVED);
  const entries = await logbook.after(0, 9);
  expect(entries.map(({ body }) => JSON.parse(body))).toMatchObject([
    { byHand: true, who: 'Nightproof host', changes: [{ what: 'luminaire A-2', from: '150', to: '155' }] },
    { who: 'Ada Vail', changes: [{ what: 'site', from: 'The old mill', to: 'The mill' }] },
  ]);
});

it('keeps what somebody edits while the change is noted', async () => {
  const edited = `${TEXT}# Seen.\n`;
  const memory: Logbook['memory'] = {
    ...logbook.memory,
    async remember(name, text) {
      await logbook.memory.remember(name, text);
      if (name === 'site change' && text !== '') writeFileSync(file, edited);
    },
  };
  const [appendNext, lastOf] = [logbook.appendNext.bind(logbook), logbook.lastOf.bind(logbook)];
  const door = newDoor({ memory, appendNext, lastOf } as Partial<Logbook> as Logbook);
  expect(await answer(door, NAME)).toBe(STALE);
  expect(readFileSync(file, 'utf8')).toBe(edited);
  expect(existsSync(`${file}.before`)).toBe(false);
  expect(await logbook.after(0, 9)).toEqual([]);
});
