// How a host of several buildings starts, and whose accounts it takes over: real broker, real log books, real HTTP.
import { existsSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import type { Account } from '../../../host/accounts/account';
import { openAccounts } from '../../../host/accounts/store';
import type { BuildingsView } from '../../../host/api/buildings';
import { accountNote } from '../../../host/house/notes/accountChange';
import { writeOnce } from '../../../host/house/notes/notes';
import { openKeys } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { newEnding } from '../../../host/serve/ending';
import { openBuilding } from '../../../host/serve/openBuilding';
import { eachOf } from '../../../host/serve/places';
import { Retries } from '../../../host/serve/retries';
import { type ServedSeveral, serveSeveral } from '../../../host/serve/several';
import { siteFilesOf } from '../../../host/serve/siteFiles';
import { loadSite } from '../../../host/site/load';
import { newJournal } from '../logbook/records';
import { SMALL } from '../site/small';

let folder: string;
let host: ServedSeveral | undefined;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-start-'));
  mkdirSync(join(folder, 'books'));
});
afterEach(async () => {
  await host?.stop();
  host = undefined;
  rmSync(folder, { recursive: true, force: true });
});

const fileOf = (id: string): string => join(folder, `${id}.yaml`);
const bookOf = (id: string): string => join(folder, 'books', `${id}.db`);
const ACCOUNTS = (): string => join(folder, 'books', 'nightproof.accounts');

function site(id: string): string {
  writeFileSync(fileOf(id), SMALL.replace('id: mill', `id: ${id}`).replace('The old mill', `The ${id}`));
  return fileOf(id);
}

async function open(ids = ['east', 'west']): Promise<ServedSeveral> {
  host = await serveSeveral({
    ...{ files: siteFilesOf(ids.map(fileOf)), folder: join(folder, 'books'), port: 0 },
    ...{ brokerPort: 0, quiet: true, againMs: 50 },
  });
  return host;
}

async function stop(): Promise<void> {
  await host?.stop();
  host = undefined;
}

const EMPTY = { isDisabled: false, password: 'x', code: '', codeUntil: 0 };
const ZOE: Account = { id: 'zoe', name: 'Zoë Oda', role: 'electrician', ...EMPTY };
const ADA: Account = { id: 'ada', name: 'Ada Vail', role: 'administrator', ...EMPTY };

function put(file: string, ...accounts: Account[]): void {
  const store = openAccounts(file);
  for (const account of accounts) store.put(account);
  store.close();
}

/** Has a log book say that an account was made there. */
async function made(building: string, { id, name, role }: Account): Promise<void> {
  const logbook = await openLogbook(bookOf(building));
  const change = { account: id, name, role, did: 'made' } as const;
  const note = accountNote({ id: building }, { id: '', name: 'Ada Vail' }, 1_790_000_000, change);
  await writeOnce(logbook, openKeys(`${bookOf(building)}.secret`), note, `${building}${id}`.padEnd(32, '0'));
  await logbook.close();
}

async function told(building: string): Promise<string[]> {
  const logbook = await openLogbook(bookOf(building));
  const entries = await logbook.page({ kind: 'account', limit: 10 });
  await logbook.close();
  return entries
    .map(({ body }) => JSON.parse(body) as { of: string; did: string })
    .map(({ of, did }) => `${did} ${of}`);
}

it('opens the page before any building has started', async () => {
  site('east');
  site('west');
  const { slots, url, started } = await open();
  expect(slots.map((slot) => slot.trouble())).toEqual(['It is being started.', 'It is being started.']);
  expect((await fetch(`${url}/`)).status).toBe(200);
  await started;
  const { buildings } = (await (await fetch(`${url}/api/overview`)).json()) as BuildingsView;
  expect(buildings.map(({ word }) => word)).toEqual(['not known', 'not known']);
});

it('has a number that says which building is not served', async () => {
  site('east');
  writeFileSync(fileOf('west'), 'id: west\n');
  host = await serveSeveral({
    ...{ files: ['east', 'west'].map(fileOf), folder: join(folder, 'books'), port: 0 },
    ...{ brokerPort: 0, quiet: true, againMs: 50, metrics: 0 },
  });
  await host.started;
  const served = async (): Promise<string[]> => {
    const text = await (await fetch(`${host?.url}/metrics`)).text();
    return text.split('\n').filter((line) => line.startsWith('nightproof_building_served{'));
  };
  const numbered = (label: string, n: number): string => `nightproof_building_served{site="${label}"} ${n}`;
  expect((await served()).sort()).toEqual([numbered('east', 1), numbered('west.yaml', 0)]);
  site('west');
  await expect.poll(async () => (await served()).sort()).toEqual([numbered('east', 1), numbered('west', 1)]);
  const answer = await (await fetch(`${host.url}/b/east/metrics`)).json();
  expect(answer).toMatchObject({ answer: expect.stringContaining('are at /metrics') });
});

it('gives the others turns while a long log book is read', async () => {
  const loaded = loadSite(site('mill'));
  if (!('site' in loaded)) throw new Error('no site');
  const logbook = await openLogbook(bookOf('mill'));
  const journal = newJournal('mill/one');
  await logbook.appendBatch(Array.from({ length: 4000 }, () => journal.record()));
  await logbook.close();
  let turns = 0;
  let isOver = false;
  const count = (): void => {
    turns++;
    if (!isOver) setImmediate(count);
  };
  setImmediate(count);
  const ending = newEnding();
  await openBuilding({ site: loaded.site, siteFile: fileOf('mill'), db: bookOf('mill') }, ending);
  isOver = true;
  await ending.run();
  expect(turns).toBeGreaterThan(15);
});

it('tries ever more rarely what reads a whole log book, and at once when the site file has changed', () => {
  const retries = new Retries(60);
  expect(retries.isDue(0, 'a')).toBe(false);
  const waits: number[] = [];
  for (let now = 0; waits.length < 8; ) {
    retries.begun();
    retries.opening();
    retries.failed(now, 'a');
    let wait = 0;
    while (!retries.isDue(now + wait, 'a')) wait += 60;
    waits.push(wait / 60);
    now += wait;
  }
  expect(waits).toEqual([1, 2, 4, 8, 16, 32, 60, 60]);
  expect(retries.isDue(0, 'b')).toBe(true);
  retries.begun();
  retries.failed(0, 'a');
  expect(retries.isDue(60, 'a')).toBe(true);
});

it('asks again before the restart whether a test has begun', async () => {
  site('east');
  const { started, slots } = await open(['east']);
  await started;
  const [before, { site: now }] = [slots[0].present()!, slots[0].present()!.opened.o];
  let why = 'A test runs.';
  before.opened.o.takeOver?.({ site: now, siteRevision: before.opened.siteRevision, hindrance: () => why });
  await new Promise((resolve) => setTimeout(resolve, 300));
  expect(slots[0].present()).toBe(before);
  why = '';
  await expect.poll(() => slots[0].present() !== before && slots[0].trouble(), { timeout: 5000 }).toBe('');
});

it('gives nobody a role in a building for the id that somebody has there', async () => {
  site('east');
  site('west');
  await made('west', ZOE);
  put(`${bookOf('east')}.accounts`, ADA, ZOE);
  await (await open()).started;
  await stop();
  const store = openAccounts(ACCOUNTS());
  expect(store.of('zoe')?.at).toEqual({ east: 'electrician' });
  store.close();
  expect([await told('east'), await told('west')]).toEqual([['role zoe'], ['made zoe']]);
});

it('takes accounts over once: an old file does not come back to life', async () => {
  site('east');
  await made('east', ADA);
  const old = `${bookOf('east')}.accounts`;
  put(old, ADA);
  await (await open(['east'])).started;
  expect([existsSync(old), existsSync(`${old}.taken-over`)]).toEqual([false, true]);
  await stop();
  rmSync(ACCOUNTS());
  put(old, ADA);
  const { started, url } = await open(['east']);
  await started;
  expect(existsSync(ACCOUNTS())).toBe(false);
  expect((await fetch(`${url}/b/east/api/status`)).status).toBe(401);
});

it('an unreadable file of old accounts takes no building down', async () => {
  site('east');
  writeFileSync(`${bookOf('east')}.accounts`, 'These are no accounts. '.repeat(400));
  const { started, slots } = await open(['east']);
  await started;
  expect(slots[0].trouble()).toBe('');
  expect([existsSync(ACCOUNTS()), existsSync(`${bookOf('east')}.accounts`)]).toEqual([false, true]);
});

it('a change stays owed to a building whose site file cannot be read yet', async () => {
  site('east');
  writeFileSync(fileOf('west'), 'id: west\n');
  put(ACCOUNTS(), ADA);
  const store = openAccounts(ACCOUNTS());
  const change = { account: 'ada', name: 'Ada Vail', role: 'administrator', did: 'password' } as const;
  store.owe({ id: 'a'.repeat(32), by: { id: 'ada', name: 'Ada Vail' }, change });
  const { started } = await open();
  await started;
  await expect.poll(() => told('east')).toEqual(['password ada']);
  expect(store.owed()).toHaveLength(1);
  await stop();
  site('west');
  await (await open()).started;
  await expect.poll(() => store.owed()).toEqual([]);
  await stop();
  store.close();
  expect([await told('east'), await told('west')]).toEqual([['password ada'], ['password ada']]);
});

it('one log book that fails keeps an entry from no other', async () => {
  const done: number[] = [];
  const work = async (n: number): Promise<void> => {
    if (n === 1) throw new Error('The disk is full.');
    done.push(n);
  };
  await expect(eachOf([1, 2, 3], work)).rejects.toThrow('The disk is full.');
  expect(done).toEqual([2, 3]);
});

it('goes on while a site file cannot even be looked at, and serves its building once it can', async () => {
  site('east');
  symlinkSync(fileOf('west'), fileOf('west'));
  const { slots, started } = await open();
  await started;
  expect(slots[0].trouble()).toBe('');
  expect(slots[1].trouble()).toContain(fileOf('west'));
  rmSync(fileOf('west'));
  site('west');
  await expect.poll(() => slots[1].trouble(), { timeout: 20_000 }).toBe('');
});
