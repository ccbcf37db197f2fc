// Several buildings under one host: real broker, real log books, real HTTP.
import { execFile } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { openAccounts } from '../../../host/accounts/store';
import type { BuildingsView } from '../../../host/api/buildings';
import type { BuildingView, OrderOutcome } from '../../../host/api/views';
import { loginOf } from '../../../host/broker/logins';
import { openKeys } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { type ServedSeveral, type SeveralOptions, serveSeveral } from '../../../host/serve/several';
import { siteFilesOf } from '../../../host/serve/siteFiles';
import { SMALL } from '../site/small';

const MAIN = join(import.meta.dirname, '../../../build/host/main.js');

let folder: string;
let host: ServedSeveral | undefined;
const clients: MqttClient[] = [];

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-several-'));
  mkdirSync(join(folder, 'sites'));
});
afterEach(async () => {
  for (const client of clients.splice(0)) client.end(true);
  await host?.stop();
  host = undefined;
  rmSync(folder, { recursive: true, force: true });
});

const fileOf = (id: string): string => join(folder, 'sites', `${id}.yaml`);
const bookOf = (id: string): string => join(folder, 'books', `${id}.db`);

/** The small mill under another name, its circuit and luminaires called alike in every building. */
function site(id: string, text = SMALL): void {
  writeFileSync(fileOf(id), text.replace('id: mill', `id: ${id}`).replace('The old mill', `The ${id}`));
}

async function start(more: Partial<SeveralOptions> = {}): Promise<ServedSeveral> {
  host = await serveSeveral({
    ...{ files: siteFilesOf([join(folder, 'sites')]), folder: join(folder, 'books'), port: 0 },
    ...{ brokerPort: 0, quiet: true, againMs: 100 },
    ...more,
  });
  await host.started;
  return host;
}

async function ask<T>(path: string): Promise<T> {
  return (await (await fetch(`${host?.url}${path}`)).json()) as T;
}

async function order(building: string, circuit: string): Promise<[number, OrderOutcome]> {
  const answer = await fetch(`${host?.url}/b/${building}/api/circuits/${circuit}/orders`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ do: 'restore', who: 'Ada Vail' }),
  });
  return [answer.status, (await answer.json()) as OrderOutcome];
}

/** Logs in as a controller, with the password of its building. */
async function controller(building: string, password = building): Promise<MqttClient> {
  const user = `${building}.one`;
  const login = loginOf(openKeys(`${bookOf(password)}.secret`), user);
  const client = await mqtt.connectAsync(host!.brokerUrl, {
    ...{ clientId: user, username: user, password: login.password, protocolVersion: 4, reconnectPeriod: 0 },
  });
  clients.push(client);
  return client;
}

it('each have a log book, an address and a name, and the overview tells of all', async () => {
  site('east');
  site('west');
  await start();
  const { buildings } = await ask<BuildingsView>('/api/overview');
  expect(buildings.map(({ id, word, neverHeard }) => [id, word, neverHeard])).toEqual([
    ['east', 'not known', 1],
    ['west', 'not known', 1],
  ]);
  for (const id of ['east', 'west'])
    expect(await ask<BuildingView>(`/b/${id}/api/building`)).toMatchObject({ id, name: `The ${id}` });
  expect((await fetch(`${host?.url}/b/north/api/building`)).status).toBe(404);
  expect((await fetch(`${host?.url}/api/building`)).status).toBe(404);
  const [east, west] = ['east', 'west'].map((id) => readFileSync(`${bookOf(id)}.secret`, 'utf8'));
  expect(east).not.toBe(west);
  const page = await fetch(`${host?.url}/b/east`);
  expect([page.url, page.status]).toEqual([`${host?.url}/b/east/`, 200]);
});

it('an order goes to the building it is given for, and to no other', async () => {
  site('east');
  site('west', SMALL.replace('- id: one', '- id: two'));
  await start();
  const seen: string[] = [];
  const client = await controller('east');
  client.on('message', (topic) => seen.push(topic));
  await client.subscribeAsync(['nightproof/east/one/order', 'nightproof/east/one/time']);
  // That the order came is what counts: nothing answers it until the host stops.
  order('east', 'one').catch(() => {});
  await expect.poll(() => seen).toContain('nightproof/east/one/order');
  const before = seen.length;
  // A circuit of one building is none of the other, whatever is pressed.
  expect((await order('west', 'one'))[0]).toBe(404);
  expect((await order('east', 'two'))[0]).toBe(404);
  expect((await order('north', 'one'))[0]).toBe(404);
  expect(seen.slice(before).filter((topic) => topic.endsWith('/order'))).toEqual([]);
});

it('a controller gets in with the password of its own building only, and hears nothing of another', async () => {
  site('east');
  site('west');
  await start();
  await expect(controller('east', 'west')).rejects.toThrow(/Bad username or password/);
  const east = await controller('east');
  await expect(east.subscribeAsync('nightproof/west/one/order')).rejects.toThrow(/Subscribe error/);
});

it('one that cannot be served is shown with the reason, and comes once that is mended', async () => {
  site('east');
  writeFileSync(fileOf('west'), 'id: west\n');
  await start();
  const lines = (await ask<BuildingsView>('/api/overview')).buildings;
  expect(lines.map(({ name, word }) => [name, word])).toEqual([
    ['west.yaml', 'not served'],
    ['The east', 'not known'],
  ]);
  expect(lines[0].trouble).toContain('west.yaml');
  expect((await fetch(`${host?.url}/b/east/api/status`)).status).toBe(200);
  site('west');
  await expect
    .poll(async () => (await ask<BuildingsView>('/api/overview')).buildings.map(({ word }) => word))
    .toEqual(['not known', 'not known']);
  expect(await ask<BuildingView>('/b/west/api/building')).toMatchObject({ id: 'west' });
});

it('a damaged log book takes no other building down', async () => {
  site('east');
  site('west');
  mkdirSync(join(folder, 'books'));
  writeFileSync(bookOf('west'), 'This is no log book. '.repeat(400));
  await start();
  const [west, east] = (await ask<BuildingsView>('/api/overview')).buildings;
  expect([west.id, west.word, east.id, east.word]).toEqual(['west', 'not served', 'east', 'not known']);
  expect(west.trouble).toContain('west.db');
  expect((await fetch(`${host?.url}/b/west/api/status`)).status).toBe(503);
  // Its page waits until it is served.
  expect((await fetch(`${host?.url}/b/west/`)).status).toBe(200);
});

it('the log book of one is not taken for that of another', async () => {
  site('east');
  await start();
  await host?.stop();
  host = undefined;
  site('west');
  const books = join(folder, 'books');
  writeFileSync(join(books, 'west.db'), readFileSync(join(books, 'east.db')));
  writeFileSync(join(books, 'west.db.secret'), readFileSync(join(books, 'east.db.secret')), { mode: 0o600 });
  await start();
  const [west] = (await ask<BuildingsView>('/api/overview')).buildings;
  expect(west.trouble).toMatch(/west\.db belongs to the site "east", not to "west"/);
});

it('two with the same id are refused in one sentence', async () => {
  site('east');
  writeFileSync(fileOf('west'), readFileSync(fileOf('east')));
  await expect(start()).rejects.toThrow(/east\.yaml and .*west\.yaml have the same id "east", [^\n]*\.$/);
});

it('nothing is started where none can be served', async () => {
  writeFileSync(fileOf('east'), 'id: east\n');
  await expect(start()).rejects.toThrow(/^No building can be served\.\n.*east\.yaml/);
});

async function accountEntries(id: string): Promise<string[]> {
  const logbook = await openLogbook(bookOf(id));
  const entries = await logbook.page({ kind: 'account', limit: 10 });
  await logbook.close();
  return entries.map(({ body }) => (JSON.parse(body) as { of: string }).of);
}

it('accounts of one building are taken over for that one, and changes stand in the log books they are about', async () => {
  site('east');
  site('west');
  await (await start()).stop();
  host = undefined;
  const add = (args: string[]) =>
    promisify(execFile)(process.execPath, [MAIN, 'accounts', 'add', ...args, '--who', 'Ada Vail']);
  await add(['ada', fileOf('east'), '--db', bookOf('east'), '--role', 'administrator', '--name', 'Ada Vail']);
  await add(['zoe', fileOf('east'), '--db', bookOf('east'), '--role', 'electrician', '--name', 'Zoë Oda']);
  const running = await start();
  const shared = ['--logbooks', join(folder, 'books'), '--role', 'viewer', '--name', 'Vic Oda'];
  await add(['vic', '--building', 'west', ...shared]);
  await expect(add(['una', '--building', 'north', ...shared])).rejects.toThrow(
    /There is no building "north" here; choose one of: east, west\./,
  );
  const store = openAccounts(join(folder, 'books', 'nightproof.accounts'));
  const roles = store.all().map(({ id, role, at }) => [id, role, at]);
  store.close();
  expect(roles).toEqual([
    ['ada', 'administrator', undefined],
    ['vic', 'viewer', { west: 'viewer' }],
    ['zoe', 'electrician', { east: 'electrician' }],
  ]);
  await running.stop();
  host = undefined;
  expect(await accountEntries('east')).toEqual(['zoe', 'zoe', 'ada']);
  expect(await accountEntries('west')).toEqual(['vic']);
});
