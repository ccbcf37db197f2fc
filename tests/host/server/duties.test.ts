// Duties and inspections over HTTP, with the real log book in a file.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { afterEach, beforeEach, expect, it } from 'vitest';
import type { DutiesView, InspectionOutcome, InspectionRequest } from '../../../host/api/duties';
import type { LogbookView } from '../../../host/api/views';
import { FORMS } from '../../../host/duties/forms';
import { type Served, serve } from '../../../host/serve/serve';
import { HOUSE } from '../house/site';
import { KEYS } from '../logbook/records';

const NOW = 1_770_000_000;
const DAY = 86_400;

let folder: string;
let host: Served;
let now: number;
beforeEach(async () => {
  now = NOW;
  folder = mkdtempSync(join(tmpdir(), 'nightproof-duties-'));
  host = await start();
});
afterEach(async () => {
  await host.stop();
  rmSync(folder, { recursive: true, force: true });
});

function start(): Promise<Served> {
  return serve({
    ...{ site: HOUSE, siteFile: 'house.yaml', db: join(folder, 'log.db'), port: 0, brokerPort: 0 },
    ...{ keys: KEYS, clock: { nowMs: () => now * 1000 }, quiet: true },
  });
}

async function ask<T>(path: string): Promise<T> {
  return (await (await fetch(`${host.url}/api${path}`)).json()) as T;
}

async function send(body: unknown): Promise<[number, InspectionOutcome]> {
  const answer = await fetch(`${host.url}/api/inspections`, {
    ...{ method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) },
  });
  return [answer.status, (await answer.json()) as InspectionOutcome];
}

function walk(id: string, more: Partial<InspectionRequest> = {}): InspectionRequest {
  const points = FORMS.walk.points.map(({ id: point }) => ({
    ...{ point, mark: 'in order' as const, luminaires: [], words: '' },
  }));
  return { id, duty: 'walk', who: 'Zoë', done: NOW - 40 * DAY, scope: 'site', points, words: '', ...more };
}

it('lists what is due with its source, and takes an inspection once, also after a restart', async () => {
  const before = await ask<DutiesView>('/duties');
  expect(before.duties[0]).toMatchObject({ id: 'handover', dueWords: 'due today', last: null });
  const one = walk('first-entry');
  one.points[1] = { ...one.points[1], mark: 'not in order', luminaires: ['A-02'], words: 'dusty' };
  const both = await Promise.all([send(one), send(one)]);
  expect(both.map(([code, { ok, id }]) => [code, ok, id])).toEqual(Array(2).fill([200, true, 'first-entry']));
  const { duties, findings } = await ask<DutiesView>('/duties');
  expect(duties[0]).toMatchObject({
    ...{ id: 'walk', state: 'overdue', every: 'every month', byLuminaire: true },
    last: { who: 'Zoë', done: NOW - 40 * DAY },
    ...{ left: [], leftCount: 0 },
    source: expect.stringMatching(/^EN 50172:2004, restated by contractors, 7\.2: from a summary$/),
  });
  expect(findings).toMatchObject([{ luminaire: 'A-02', words: 'dusty', who: 'Zoë', since: NOW - 40 * DAY }]);
  await host.stop();
  host = await start();
  expect(await send(one)).toMatchObject([200, { ok: true, answer: 'The log book has it already.' }]);
  // Whatever has become of the entry: what is stored is stored.
  expect(await send({ ...one, duty: 'look' })).toMatchObject([200, { ok: true }]);
  const log = await ask<LogbookView>('/logbook?kind=inspection');
  expect(log).toMatchObject({ total: 1, entries: [{ circuit: '', kind: 'inspection' }] });
  expect(log.entries[0].text).toMatch(/^Zoë did "Walk past every luminaire" for the whole site on /);
  await send(walk('second-entry', { scope: 'circuit b', done: NOW }));
  const [part] = (await ask<DutiesView>('/duties')).duties;
  expect(part).toMatchObject({ id: 'walk', state: 'overdue', left: ['A-01', 'A-02'], leftCount: 2 });
  expect(await host.logbook.verify(KEYS)).toMatchObject({ valid: true });
});

it('refuses for good what can never be stored, in one sentence', async () => {
  expect(await send(walk('bad-entry', { scope: 'area attic' }))).toMatchObject([
    400,
    { ok: false, refused: true, id: 'bad-entry', answer: expect.stringMatching(/^"area attic" is no part/) },
  ]);
  expect(await send({ ...walk('odd-entry'), more: 1 })).toMatchObject([400, { ok: false, refused: true }]);
  expect(await send(walk('long-entry', { words: 'x'.repeat(70_000) }))).toMatchObject([
    413,
    { refused: true },
  ]);
  expect(await send('text')).toMatchObject([400, { ok: false, refused: true }]);
  const long = walk('rich-entry', { words: '長'.repeat(500) });
  long.points[0] = {
    ...long.points[0],
    mark: 'not in order',
    luminaires: ['A-01', 'A-02', 'B-01'],
    words: '壊'.repeat(500),
  };
  expect(await send(long)).toMatchObject([200, { ok: true }]);
});

it('does not say that it is stored if the log book cannot take it, and takes it later', async () => {
  const other = new Database(join(folder, 'log.db'));
  other.exec('BEGIN IMMEDIATE');
  expect(await send(walk('patient-entry'))).toMatchObject([
    503,
    {
      ok: false,
      refused: false,
      answer: expect.stringMatching(/^It is not stored\. Another program is using/),
    },
  ]);
  other.exec('ROLLBACK');
  other.close();
  expect(await send(walk('patient-entry'))).toMatchObject([200, { ok: true, id: 'patient-entry' }]);
});

it('takes back what was entered by mistake, and says so with the entry', async () => {
  await send(walk('a-wrong-entry', { done: NOW }));
  const walkOf = async () => (await ask<DutiesView>('/duties')).duties.find(({ id }) => id === 'walk')!;
  const entryOf = async () => (await ask<LogbookView>('/logbook?kind=inspection')).entries[0];
  const withdraw = async (body: unknown) => {
    const answer = await fetch(`${host.url}/api/withdrawals`, {
      ...{ method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) },
    });
    return [answer.status, await answer.json()];
  };
  const { entry, withdrawn } = await entryOf();
  expect([withdrawn, (await walkOf()).last]).toEqual(['', { who: 'Zoë', done: NOW }]);
  expect(await withdraw({ entry, who: 'Ana' })).toEqual([
    ...[400, { ok: false, answer: expect.stringMatching(/^To withdraw an entry give "entry", /) }],
  ]);
  expect(await withdraw({ entry, who: 'Ana', why: 'twice' })).toEqual([
    ...[200, { ok: true, answer: `Recorded: Ana withdrew entry ${entry}: twice.` }],
  ]);
  expect([(await entryOf()).withdrawn, (await walkOf()).last]).toEqual([
    ...[expect.stringMatching(/^Withdrawn on .+ by Ana \(entry \d+\): twice\.$/), null],
  ]);
});

it('are in the log book of every circuit that they looked at', async () => {
  await send(walk('the-whole-site'));
  await send(walk('circuit-b-only', { scope: 'circuit b' }));
  await send(walk('one-luminaire-of-a', { scope: 'luminaire A-01' }));
  const scopes = async (circuit: string) => {
    const { entries, total } = await ask<LogbookView>(`/logbook?circuit=${circuit}&kind=inspection`);
    return [entries.map(({ body }) => JSON.parse(body).scope), total];
  };
  expect(await scopes('a')).toEqual([['luminaire A-01', 'site'], null]);
  expect(await scopes('b')).toEqual([['circuit b', 'site'], null]);
  const { entries } = await ask<LogbookView>('/logbook?circuit=a');
  expect(entries.map(({ kind }) => kind)).toContain('listed');
});

it('makes the duties anew for another day and after an entry, and otherwise says that they are the same', async () => {
  const known = (tag: string) => fetch(`${host.url}/api/duties`, { headers: { 'if-none-match': tag } });
  const first = await known('');
  const tag = first.headers.get('etag')!;
  const handoverOf = async (answer: Response) =>
    ((await answer.json()) as DutiesView).duties.find(({ id }) => id === 'handover')?.dueWords;
  expect(await handoverOf(first)).toBe('due today');
  expect((await known(tag)).status).toBe(304);
  now += DAY;
  const next = await known(tag);
  expect([next.status, await handoverOf(next)]).toEqual([200, 'overdue by 1 day']);
  await send(walk('later-entry', { done: now }));
  const after = (await (await known(next.headers.get('etag')!)).json()) as DutiesView;
  expect(after.duties.find(({ id }) => id === 'walk')?.last).toEqual({ who: 'Zoë', done: now });
});
