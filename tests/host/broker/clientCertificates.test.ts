// A second listener of Mosquitto for clients that show a certificate: who is let in where by the file as it is written, with
// certificates made by openssl.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connectAsync } from 'mqtt';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { brokerFiles } from '../../../host/broker/files';
import { loginOf } from '../../../host/broker/logins';
import { HOST_CLIENT } from '../../../host/broker/parties';
import { freePort, type MosquittoBroker, startMosquitto } from '../../support/brokers';
import { certificatesIn } from '../../support/certificates';
import { HOUSE } from '../house/site';
import { KEYS } from '../logbook/records';

let folder: string;
let port: number;
let plainPort: number;
let broker: MosquittoBroker;
const inFolder = (name: string) => join(folder, name);

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-certificates-'));
  const { makeAuthority, makeCertificate } = certificatesIn(folder);
  for (const name of ['ca', 'foreign']) makeAuthority(name);
  for (const name of ['broker', 'hall']) makeCertificate(name, 'ca');
  makeCertificate('ended', 'ca', 0);
  makeCertificate('stranger', 'foreign');
  [port, plainPort] = [await freePort(), await freePort()];
  const tls = {
    port,
    authority: inFolder('ca.pem'),
    certificate: inFolder('broker.pem'),
    key: inFolder('broker.key'),
  };
  const users = { readers: ['hall'], platforms: ['home'], discovery: 'homeassistant' };
  const wish = {
    buildings: [{ site: HOUSE, keys: KEYS }],
    ...users,
    host: '127.0.0.1',
    port: plainPort,
    folder,
    tls,
  };
  const { texts } = brokerFiles(wish);
  for (const [name, text] of Object.entries(texts)) writeFileSync(inFolder(name), text);
  broker = await startMosquitto({ port: plainPort, whole: texts['nightproof.conf'] });
});
afterAll(async () => {
  await broker?.stop();
  rmSync(folder, { recursive: true, force: true });
});

/** Why a reader is not let in; '' if it is. @param shown name of its certificate, '' for none */
async function refusal(shown: string, more: object = {}): Promise<string> {
  const files = shown && {
    cert: readFileSync(inFolder(`${shown}.pem`)),
    key: readFileSync(inFolder(`${shown}.key`)),
  };
  try {
    const client = await connectAsync(`mqtts://127.0.0.1:${port}`, {
      ...{ ca: readFileSync(inFolder('ca.pem')), ...files, clientId: 'reader-hall' },
      ...{
        ...loginOf(KEYS, 'reader-hall'),
        username: 'reader-hall',
        reconnectPeriod: 0,
        connectTimeout: 30_000,
      },
      ...more,
    });
    await client.endAsync();
    return '';
  } catch (error) {
    return (error as Error).message;
  }
}

/** The same without a certificate, where controllers and the host log in. */
async function plainRefusal(user: string): Promise<string> {
  const how = { protocolVersion: 4, reconnectPeriod: 0, connectTimeout: 30_000 } as const;
  const { password } = loginOf(KEYS, user);
  try {
    const login = { clientId: user, username: user, password };
    await (await connectAsync(`mqtt://127.0.0.1:${plainPort}`, { ...login, ...how })).endAsync();
    return '';
  } catch (error) {
    return (error as Error).message;
  }
}

it('lets in a reader with a certificate of the authority and its password', async () => {
  expect(await refusal('hall')).toBe('');
});

it('grants it there what it grants to readers', async () => {
  const files = { cert: readFileSync(inFolder('hall.pem')), key: readFileSync(inFolder('hall.key')) };
  const client = await connectAsync(`mqtts://127.0.0.1:${port}`, {
    ...{ ca: readFileSync(inFolder('ca.pem')), ...files, clientId: 'reader-hall' },
    ...{ ...loginOf(KEYS, 'reader-hall'), username: 'reader-hall', protocolVersion: 4 },
  });
  const heard: string[] = [];
  client.on('message', (topic) => void heard.push(topic));
  await client.subscribeAsync(['nightproof/demo/a/order', 'nightproof/demo/notice'], { qos: 1 });
  const host = await connectAsync(`mqtt://127.0.0.1:${plainPort}`, {
    ...{ clientId: HOST_CLIENT, username: HOST_CLIENT, ...loginOf(KEYS, HOST_CLIENT), protocolVersion: 4 },
  });
  await host.publishAsync('nightproof/demo/a/order', 'secret', { qos: 1 });
  await host.publishAsync('nightproof/demo/notice', 'for all', { qos: 1 });
  await expect.poll(() => heard).toEqual(['nightproof/demo/notice']);
  await Promise.all([client.endAsync(true), host.endAsync(true)]);
});

it.each(['reader-hall', 'platform-home'])('lets in no %s without one, at no other port', async (user) => {
  expect(await plainRefusal(user)).toMatch(/not authorized|bad user name or password/i);
});

it('lets in controllers and the host without one, and neither where readers come', async () => {
  expect([await plainRefusal('demo.a'), await plainRefusal(HOST_CLIENT)]).toEqual(['', '']);
  for (const user of ['demo.a', HOST_CLIENT])
    expect(await refusal('hall', { ...loginOf(KEYS, user), username: user, clientId: user }), user).toMatch(
      /not authorized|bad user name or password/i,
    );
});

it.each([
  ['none', ''],
  ['one that has ended', 'ended'],
  ['one of another authority', 'stranger'],
])('refuses %s, whatever the password', async (_, shown) => {
  expect(await refusal(shown)).toMatch(/certificate|alert|closed|reset|ECONNRESET/i);
});

it('refuses the right certificate with a wrong password', async () => {
  expect(await refusal('hall', { password: 'wrong' })).toMatch(/not authorized|bad user name or password/i);
});

it('is itself refused by a reader that trusts another authority', async () => {
  expect(await refusal('hall', { ca: readFileSync(inFolder('foreign.pem')) })).toMatch(
    /certificate|signature/i,
  );
});
