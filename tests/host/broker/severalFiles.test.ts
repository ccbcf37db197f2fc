// One set of files for the Mosquitto of several buildings, used as it is written: by their host, their controllers and readers.
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt, { type MqttClient } from 'mqtt';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { brokerFiles, type FilesBuilding, type FilesWish } from '../../../host/broker/files';
import { loginOf } from '../../../host/broker/logins';
import { readSite } from '../../../host/cli/siteFile';
import { openKeys } from '../../../host/keys';
import { bookIn } from '../../../host/serve/places';
import { type ServedSeveral, serveSeveral } from '../../../host/serve/several';
import { freePort, type MosquittoBroker, startMosquitto } from '../../support/brokers';
import { SMALL } from '../site/small';

const SITES = ['east', 'west'];

let folder: string;
let wish: FilesWish;
let broker: MosquittoBroker;
let host: ServedSeveral | undefined;
const clients: MqttClient[] = [];

const fileOf = (id: string): string => join(folder, `${id}.yaml`);
const books = (): string => join(folder, 'books');
const keysOf = (id: string) => openKeys(`${bookIn(books(), id)}.secret`);

function building(id: string): FilesBuilding {
  writeFileSync(fileOf(id), SMALL.replace('id: mill', `id: ${id}`));
  return { site: readSite(fileOf(id)), keys: keysOf(id) };
}

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-several-files-'));
  mkdirSync(books());
  const port = await freePort();
  wish = {
    ...{ buildings: SITES.map(building), isShared: true },
    ...{ readers: ['east/hall', 'west/desk', 'lobby'], platforms: ['west/home'], discovery: 'homeassistant' },
    ...{ host: '127.0.0.1', port, folder },
  };
  const { texts } = brokerFiles(wish);
  for (const [name, text] of Object.entries(texts)) writeFileSync(join(folder, name), text);
  broker = await startMosquitto({ port, whole: texts['nightproof.conf'] });
  host = await serveSeveral({
    ...{ files: SITES.map(fileOf), folder: books(), port: 0, quiet: true },
    ...{ broker: `mqtt://nightproof-host@127.0.0.1:${port}`, discovery: 'homeassistant' },
  });
  await host.started;
  // The hosts of both have said that they are there.
  const heard = new Set<string>();
  const lobby = await enter('reader-lobby', 'east');
  lobby.on('message', (topic) => void heard.add(topic));
  await lobby.subscribeAsync(HOSTS, { qos: 1 });
  await vi.waitUntil(() => heard.size === SITES.length, { timeout: 60_000 });
  await lobby.endAsync(true);
});
afterAll(async () => {
  for (const client of clients) client.end(true);
  await host?.stop();
  await broker?.stop();
  rmSync(folder, { recursive: true, force: true });
});

/** @param site whose secret the password is made with */
async function enter(user: string, site: string): Promise<MqttClient> {
  const { password } = loginOf(keysOf(site), user);
  const client = await mqtt.connectAsync(broker.url, {
    ...{ clientId: user, username: user, password, protocolVersion: 4, reconnectPeriod: 0 },
  });
  clients.push(client);
  return client;
}

const HOSTS = SITES.map((site) => `nightproof/${site}/status/host`);

/** What somebody hears of all buildings, of that one last: what of the others is retained has come or stays away by then. */
async function heardBy(user: string, site: string): Promise<Set<string>> {
  const client = await enter(user, site);
  const heard = new Set<string>();
  client.on('message', (topic) => void heard.add(topic));
  const own = `nightproof/${site}/status/host`;
  const others = HOSTS.filter((topic) => topic !== own);
  await client.subscribeAsync([...others, own], { qos: 1 });
  await expect.poll(() => heard.has(own)).toBe(true);
  return heard;
}

it('lets the reader of one building read that one, and one of all every building', async () => {
  expect([...(await heardBy('reader-lobby', 'east'))].sort()).toEqual(HOSTS);
  expect([...(await heardBy('reader-hall', 'east'))]).toEqual([HOSTS[0]]);
  expect([...(await heardBy('reader-desk', 'west'))]).toEqual([HOSTS[1]]);
});

it('shows a platform the states of its own building only', async () => {
  expect([...(await heardBy('platform-home', 'west'))]).toEqual([HOSTS[1]]);
});

it('lets the controllers of every building in, each to its own topics', async () => {
  const orders: string[] = [];
  for (const id of SITES) {
    const controller = await enter(`${id}.one`, id);
    controller.on('message', (topic) => void orders.push(`${id} ${topic}`));
    await controller.subscribeAsync(
      SITES.map((one) => `nightproof/${one}/one/order`),
      { qos: 1 },
    );
  }
  for (const id of SITES)
    fetch(`${host?.url}/b/${id}/api/circuits/one/orders`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ do: 'restore', who: 'Ada Vail' }),
      // Nobody answers the order: that it came, and to whom, is what counts.
    }).catch(() => {});
  await expect
    .poll(() => [...new Set(orders)].sort())
    .toEqual(['east nightproof/east/one/order', 'west nightproof/west/one/order']);
});

it.each([
  ['a controller', 'east.one', 'west'],
  ['a reader', 'reader-hall', 'west'],
  ['the host of a building', 'nightproof-host-east', 'west'],
  ['a host of no building', 'nightproof-host', 'east'],
])('refuses %s with a password of another building', async (_, user, site) => {
  await expect(enter(user, site)).rejects.toThrow(/not authorized|bad user name or password/i);
});

it('refuses names it could not tell apart, and those of no building, in one sentence', () => {
  const named = (readers: string[]) => () => brokerFiles({ ...wish, readers });
  expect(named(['east/hall', 'west/hall'])).toThrow(
    'reader-hall is named twice; each reader and platform needs a name of its own, also in another building.',
  );
  expect(named(['north/hall'])).toThrow(
    'There is no building "north" for "north/hall"; name one of: east, west.',
  );
});
