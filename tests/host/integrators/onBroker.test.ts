// The status topics as a reader sees them on real brokers: what is told, what is cleared, and what is left of it when
// the host is gone.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { type AddressInfo, connect, createServer, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { brokerFiles } from '../../../host/broker/files';
import { loginOf } from '../../../host/broker/logins';
import { HOST_CLIENT } from '../../../host/broker/parties';
import type { StatusOf } from '../../../host/integrators/schema';
import { signMessage } from '../../../host/keys';
import { type Served, serve } from '../../../host/serve/serve';
import type { Site } from '../../../host/site/model';
import { startMosquitto } from '../../support/brokers';
import { HOUSE } from '../house/site';
import { KEYS, newJournal, resultFields } from '../logbook/records';
import { PASS, restState } from './house';
import { expectValid } from './valid';

const DEAD = [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 0];
const STATUS = 'nightproof/demo/status';

let folder: string;
let ends: (() => unknown)[];
let host: Served | undefined;
let nowMs: number;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-status-'));
  ends = [];
  nowMs = 1770000000000;
});
afterEach(async () => {
  await host?.stop();
  host = undefined;
  for (const end of ends.reverse()) await end();
  rmSync(folder, { recursive: true, force: true });
});

async function start(site: Site, broker?: string): Promise<Served> {
  host = await serve({
    ...{ site, siteFile: 'house.yaml', db: join(folder, 'log.db'), port: 0, brokerPort: 0 },
    ...{ keys: KEYS, clock: { nowMs: () => nowMs }, quiet: true },
    ...(broker !== undefined && { broker }),
  });
  return host;
}

/** Stands between the host and a broker; `cut` ends all connections. */
async function wireTo(port: number): Promise<{ port: number; cut(): void }> {
  const sockets = new Set<Socket>();
  const server = createServer((near) => {
    const far = connect(port, '127.0.0.1');
    for (const [one, other] of [
      [near, far],
      [far, near],
    ]) {
      sockets.add(one);
      one.pipe(other);
      one.on('error', () => other.destroy());
      one.on('close', () => other.destroy());
    }
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const cut = (): void => {
    for (const socket of sockets) socket.destroy();
    sockets.clear();
  };
  ends.push(() => server.close(), cut);
  return { port: (server.address() as AddressInfo).port, cut };
}

async function mosquitto() {
  const wish = { site: HOUSE, keys: KEYS, readers: ['desk'], host: '127.0.0.1', port: 1, folder };
  for (const [name, text] of Object.entries(brokerFiles(wish).texts)) writeFileSync(join(folder, name), text);
  const broker = await startMosquitto({
    passwordFile: join(folder, 'passwords'),
    config: [`acl_file ${folder}/acl`, 'use_username_as_clientid true'],
  });
  ends.push(() => broker.kill());
  return broker;
}

async function enter(port: number, user: string): Promise<MqttClient> {
  const { password } = loginOf(KEYS, user);
  const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${port}`, {
    ...{ clientId: user, username: user, password, protocolVersion: 4 },
  });
  ends.push(() => client.endAsync(true));
  return client;
}

/** Everything a reader is told, by topic below `status`; each message fits its schema. */
async function read(port: number) {
  const told = new Map<string, Record<string, unknown>>();
  const history: string[] = [];
  const client = await enter(port, 'reader-desk');
  client.on('message', (topic, payload) => {
    const name = topic.slice(STATUS.length + 1);
    const text = payload.toString();
    history.push(name === 'host' ? `${name} ${JSON.parse(text).online}` : name);
    if (text === '') {
      told.delete(name);
      return;
    }
    const message = JSON.parse(text) as Record<string, unknown>;
    expectValid(name.split('/')[0] as StatusOf, message);
    told.set(name, message);
  });
  await client.subscribeAsync(
    ['host', 'building', 'circuit/+', 'luminaire/+'].map((of) => `${STATUS}/${of}`),
    { qos: 1 },
  );
  return { told, history };
}

/** A controller whose test has shown that A-02 is dead. */
async function testA(port: number): Promise<MqttClient> {
  const a = await enter(port, 'demo.a');
  const state = () => signMessage(KEYS, 'demo/a', 'state', restState({ up: Math.round(performance.now()) }));
  const tell = () => a.publish('nightproof/demo/a/state', state(), { qos: 1, retain: true });
  const heartbeat = setInterval(tell, 500);
  ends.push(() => clearInterval(heartbeat));
  tell();
  // A record is sent once here, so the host must be listening.
  await expect.poll(() => host?.house.reported.of('a').state).toBeDefined();
  await expect.poll(() => host?.house.past.notes.listed('a', settings())).toBeDefined();
  const fields = resultFields([PASS, DEAD], {
    ...{ settings: settings(), started: 1770000000, type: TestKind.Full, seconds: 3600 },
  });
  a.publish('nightproof/demo/a/record', newJournal('demo/a').next('result', fields), { qos: 1 });
  return a;
}

const settings = (): number => host?.house.desired.settingsRevision('a') ?? 0;

describe.each(['the built-in broker', 'Mosquitto'])('on %s', (which) => {
  it('tells a reader in words what failed, keeps it for those who come later, and says when the host goes', async () => {
    const outside = which === 'Mosquitto' ? await mosquitto() : undefined;
    await start(HOUSE, outside && `mqtt://${HOST_CLIENT}@127.0.0.1:${outside.port}`);
    const port = outside?.port ?? host?.brokerPort ?? 0;
    const { told } = await read(port);
    await testA(port);
    await expect
      .poll(() => told.get('luminaire/A-02'))
      .toMatchObject({
        ...{ verdict: 'fail', place: 'corridor', since: '2026-02-02T03:40:00+01:00' },
        reason: { code: 1, words: 'The lamp was not lit 5 s after the supply was cut.' },
      });
    expect(told.get('luminaire/A-01')).toMatchObject({ verdict: 'pass', reason: null });
    // Of what has not been heard yet nothing is said, until it has had the time to report.
    expect(told.has('luminaire/B-01')).toBe(false);
    nowMs += 151_000;
    await expect
      .poll(() => told.get('building'))
      .toMatchObject({
        ...{ verdict: 'fail', luminaires: { pass: 1, fail: 1, notProven: 1 }, openDefects: 1 },
      });
    expect(told.get('circuit/b')).toMatchObject({ contact: 'never heard', verdicts: { notProven: 1 } });
    expect(told.get('host')).toMatchObject({ online: true });
    if (outside) await host?.stop();
    if (outside) await expect.poll(() => told.get('host')).toMatchObject({ online: false, at: null });
  });
});

it('says by the last will that the broker has lost the host, and tells everything again afterwards', async () => {
  const broker = await mosquitto();
  const wire = await wireTo(broker.port);
  const { told, history } = await read(broker.port);
  await start(HOUSE, `mqtt://${HOST_CLIENT}@127.0.0.1:${wire.port}`);
  await testA(broker.port);
  await expect.poll(() => told.get('luminaire/A-02')).toMatchObject({ verdict: 'fail' });
  const before = history.length;
  await new Promise((resolve) => setTimeout(resolve, 3000));
  // Nothing is repeated while nothing changes.
  expect(history.slice(before).filter((name) => name.startsWith('luminaire'))).toEqual([]);
  wire.cut();
  await expect.poll(() => history.slice(before)).toContain('host false');
  await expect.poll(() => told.get('host')).toMatchObject({ online: true });
  await expect.poll(() => history.slice(before)).toContain('luminaire/A-02');
});

it('clears the topics of what a changed site no longer has', async () => {
  const broker = await mosquitto();
  const url = `mqtt://${HOST_CLIENT}@127.0.0.1:${broker.port}`;
  await start(HOUSE, url);
  await testA(broker.port);
  const { told } = await read(broker.port);
  await expect.poll(() => [...told.keys()]).toContain('luminaire/A-02');
  await host?.stop();
  const [a, b] = HOUSE.circuits;
  await start({ ...HOUSE, circuits: [{ ...a, luminaires: [a.luminaires[0]] }, b] }, url);
  await expect.poll(() => [...told.keys()]).not.toContain('luminaire/A-02');
  expect([...told.keys()]).toContain('luminaire/A-01');
});
