// The built-in broker by TLS: who is let in where, with certificates made by openssl and a client of another project.
import { X509Certificate } from 'node:crypto';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { connect as connectPlain, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connect as connectTls } from 'node:tls';
import { connect, type IClientOptions, type MqttClient } from 'mqtt';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { type Broker, type BrokerPlace, openBroker } from '../../../host/broker/broker';
import { loginOf } from '../../../host/broker/logins';
import { HOST_CLIENT } from '../../../host/broker/parties';
import { certificatesIn } from '../../support/certificates';
import { KEYS } from '../logbook/records';

let folder: string;
let broker: Broker;
const told: string[] = [];
const read = (name: string) => readFileSync(join(folder, name), 'utf8');

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-secure-'));
  const { makeAuthority, makeCertificate } = certificatesIn(folder);
  for (const name of ['ca', 'foreign']) makeAuthority(name);
  for (const name of ['broker', 'renewed', 'hall']) makeCertificate(name, 'ca');
  makeCertificate('ended', 'ca', 0);
  makeCertificate('stranger', 'foreign');
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));
afterEach(async () => {
  for (const end of ends.splice(0)) await end();
  await broker.close();
  told.length = 0;
});

async function start(clients?: string, limits: BrokerPlace['limits'] = {}): Promise<void> {
  const tls = { port: 0, cert: read('broker.pem'), key: read('broker.key') };
  broker = await openBroker({
    ...{ port: 0, tls: { ...tls, ...(clients !== undefined && { clients: read(clients) }) } },
    ...{ limits: { refusalMs: 1, ...limits }, onProblem: (sentence) => told.push(sentence) },
  });
  broker.admit({ site: 'demo', controllers: ['a'], keys: KEYS, isOpen: true });
}

/** Why a client is not let in; '' if it is. */
async function refusal(url: string, user: string, more: IClientOptions = {}): Promise<string> {
  const client = connect(url, {
    ...{ clientId: user, username: user, password: loginOf(KEYS, user).password, protocolVersion: 4 },
    ...{ reconnectPeriod: 0, connectTimeout: 30_000, ca: read('ca.pem'), ...more },
  });
  const why = await new Promise<string>((resolve) => {
    client.on('connect', () => resolve(''));
    client.on('error', (error) => resolve(error.message || 'failed'));
    client.on('close', () => resolve('closed'));
  });
  await client.endAsync(true);
  return why;
}

const plain = (user: string) => refusal(`mqtt://127.0.0.1:${broker.port}`, user);

/** @param shown name of its certificate, '' for none */
const byTls = (user: string, shown: string, more: IClientOptions = {}) =>
  refusal(`mqtts://127.0.0.1:${broker.tlsPort}`, user, {
    ...(shown && { cert: read(`${shown}.pem`), key: read(`${shown}.key`) }),
    ...more,
  });

interface Session {
  /** In the certificate of the broker; '' where none was shown. */
  name: string;
  isResumed: boolean;
  /** To take the session up again. */
  ticket: Buffer | undefined;
}

/** MQTT 3.1.1, section 3.1: a client without a name and a password asks to be let in. */
const GUEST = Buffer.from('100c00044d5154540402000a0000', 'hex');

/** A connection that the broker takes, up to its last word about taking it up again. */
function session(version: 'TLSv1.2' | 'TLSv1.3', ticket?: Buffer): Promise<Session> {
  const socket = connectTls({
    ...{ port: broker.tlsPort, host: '127.0.0.1', minVersion: version, maxVersion: version },
    ...{
      ca: read('ca.pem'),
      cert: read('hall.pem'),
      key: read('hall.key'),
      ...(ticket && { session: ticket }),
    },
  });
  let last: Buffer | undefined;
  socket.on('session', (given: Buffer) => {
    last = given;
  });
  return new Promise((resolve, reject) => {
    socket.on('error', reject);
    socket.on('close', () => reject(new Error('closed')));
    // The answer to it, a refusal, comes after all that TLS has to say.
    socket.once('secureConnect', () => void socket.write(GUEST));
    socket.once('data', () => {
      const { CN: name = '' } = socket.getPeerCertificate().subject ?? {};
      resolve({ name: String(name), isResumed: socket.isSessionReused(), ticket: last });
      socket.destroy();
    });
  });
}

const ends: (() => unknown)[] = [];

describe('where certificates of clients are asked for', () => {
  it('lets in readers and platforms that show one, and lets them in nowhere else', async () => {
    await start('ca.pem');
    for (const user of ['reader-hall', 'platform-home']) {
      expect(await byTls(user, 'hall'), user).toBe('');
      expect(await plain(user), user).toMatch(/not authorized/i);
    }
    expect(told.join()).toContain('logged in without a certificate; readers and platforms do so by TLS only');
  });

  it('lets in controllers and the host without one, and neither where readers come', async () => {
    await start('ca.pem');
    for (const user of ['demo.a', HOST_CLIENT]) {
      expect(await plain(user), user).toBe('');
      expect(await byTls(user, 'hall'), user).toMatch(/not authorized/i);
    }
    expect(told.join()).toContain('logged in by TLS, where only readers and platforms do');
  });

  it.each([
    ['none', '', 'showed no certificate'],
    ['one that has ended', 'ended', 'showed a certificate that has ended'],
    ['one of another authority', 'stranger', 'showed a certificate that is not of the authority'],
  ])('refuses %s, whatever the password, and says so', async (_, shown, why) => {
    await start('ca.pem');
    expect(await byTls('reader-hall', shown)).not.toBe('');
    await expect
      .poll(() => told)
      .toContain(`The broker refused a connection by TLS from 127.0.0.1: the client ${why}.`);
  });

  it('refuses the right certificate with a wrong password, and with none', async () => {
    await start('ca.pem');
    expect(await byTls('reader-hall', 'hall', { password: 'wrong' })).toMatch(/bad username or password/i);
    const guest = await refusal(`mqtts://127.0.0.1:${broker.tlsPort}`, 'guest', {
      ...{ cert: read('hall.pem'), key: read('hall.key'), username: '', password: '' },
    });
    expect(guest).toMatch(/not authorized/i);
  });
});

const pems = (name: string, clients: string) => ({
  ...{ cert: read(`${name}.pem`), key: read(`${name}.key`), clients: read(clients) },
});
const endOf = (name: string): number => Date.parse(new X509Certificate(read(`${name}.pem`)).validTo);

/** Somebody who stays. */
async function reader(): Promise<MqttClient> {
  const client = connect(`mqtts://127.0.0.1:${broker.tlsPort}`, {
    ...{ clientId: 'reader-hall', username: 'reader-hall', password: loginOf(KEYS, 'reader-hall').password },
    ...{ protocolVersion: 4, reconnectPeriod: 0, ca: read('ca.pem') },
    ...{ cert: read('hall.pem'), key: read('hall.key') },
  });
  client.on('error', () => {});
  ends.push(() => client.endAsync(true));
  await new Promise((resolve) => client.once('connect', resolve));
  return client;
}

describe('while it runs', () => {
  it('goes over to another certificate and drops nobody', async () => {
    await start('ca.pem');
    const client = await reader();
    broker.secure?.renew(pems('renewed', 'ca.pem'));
    broker.secure?.review(Date.now());
    const { name } = await session('TLSv1.3');
    expect(name).toBe('renewed');
    await client.subscribeAsync('nightproof/demo/status/host');
    expect(client.connected).toBe(true);
    expect(told.join()).not.toContain('ended a connection');
  });

  it('ends the connection of a certificate that ends meanwhile, and says so', async () => {
    await start('ca.pem');
    const client = await reader();
    broker.secure?.review(endOf('hall') - 1000);
    await client.subscribeAsync('nightproof/demo/status/host');
    const closed = new Promise<void>((resolve) => client.once('close', resolve));
    broker.secure?.review(endOf('hall') + 1000);
    await closed;
    expect(told).toEqual([
      "The broker ended a connection by TLS from 127.0.0.1: the client's certificate has ended.",
    ]);
  });

  it('ends the connections of an authority that was replaced, and takes no more of them', async () => {
    await start('ca.pem');
    const client = await reader();
    const { ticket } = await session('TLSv1.3');
    const closed = new Promise<void>((resolve) => client.once('close', resolve));
    broker.secure?.renew(pems('broker', 'foreign.pem'));
    broker.secure?.review(Date.now());
    await closed;
    expect(told.join()).toContain(
      "from 127.0.0.1: the client's certificate is no longer of an authority that counts.",
    );
    expect(await byTls('reader-hall', 'hall')).not.toBe('');
    await expect(session('TLSv1.3', ticket)).rejects.toThrow();
    expect(await byTls('reader-hall', 'stranger')).toBe('');
  });

  it.each(['TLSv1.2', 'TLSv1.3'] as const)(
    'takes up no session of %s again without a look at the certificate',
    async (version) => {
      await start('ca.pem');
      const first = await session(version);
      const second = await session(version, first.ticket);
      expect([first.isResumed, second.isResumed]).toEqual([false, false]);
    },
  );
});

it('lets in controllers, and neither readers nor platforms, where these must come by TLS and it cannot be had', async () => {
  broker = await openBroker({ port: 0, shutsReaders: true, limits: { refusalMs: 1 } });
  broker.admit({ site: 'demo', controllers: ['a'], keys: KEYS, isOpen: true });
  expect(broker.tlsPort).toBe(0);
  expect(await plain('demo.a')).toBe('');
  for (const user of ['reader-hall', 'platform-home'])
    expect(await plain(user), user).toMatch(/not authorized/i);
});

it('takes readers by TLS without a certificate where none is asked for, and still without TLS', async () => {
  await start();
  expect(await byTls('reader-hall', '')).toBe('');
  expect(await plain('reader-hall')).toBe('');
  expect(await byTls('demo.a', '')).toMatch(/not authorized/i);
});

it('is refused by a reader that trusts another authority, or asks for another name', async () => {
  await start('ca.pem');
  expect(await byTls('reader-hall', 'hall', { ca: read('foreign.pem') })).toMatch(/certificate|signature/i);
  const other = await refusal(`mqtts://localhost:${broker.tlsPort}`, 'reader-hall', {
    ...{ cert: read('hall.pem'), key: read('hall.key') },
  });
  expect(other).toMatch(/does not match certificate/i);
});

it('ends connections that begin no TLS, the oldest first where there are too many', async () => {
  await start('ca.pem', { unfinished: 2, loginMs: 60_000 });
  const ended: number[] = [];
  const sockets = [1, 2, 3].map((n) => {
    const socket = connectPlain(broker.tlsPort, '127.0.0.1');
    socket.on('error', () => {});
    return socket.once('close', () => void ended.push(n));
  });
  await expect.poll(() => ended.length).toBe(1);
  expect(await byTls('reader-hall', 'hall')).toBe('');
  for (const socket of sockets) socket.destroy();
});

it('lets one that is slow to begin TLS in, however many connections another address opens', async () => {
  await start('ca.pem', { unfinished: 4, loginMs: 60_000 });
  const ended: string[] = [];
  const open = (localAddress: string): Socket => {
    const socket = connectPlain({ port: broker.tlsPort, host: '127.0.0.1', localAddress });
    socket.on('error', () => {});
    return socket.once('close', () => void ended.push(localAddress));
  };
  const idle = Array.from({ length: 4 }, () => open('127.0.0.1'));
  await Promise.all(idle.map((socket) => once(socket, 'connect')));
  const slow = open('127.0.0.2');
  await expect.poll(() => ended.length).toBe(1);
  idle.push(...Array.from({ length: 4 }, () => open('127.0.0.1')));
  await expect.poll(() => ended.length).toBe(5);
  expect(ended).not.toContain('127.0.0.2');
  const shown = { ca: read('ca.pem'), cert: read('hall.pem'), key: read('hall.key') };
  const secure = connectTls({ socket: slow, host: '127.0.0.1', ...shown });
  await once(secure, 'secureConnect');
  expect(told.join()).toContain(
    'a connection by TLS from 127.0.0.1: the client had not begun TLS when too many waited for it.',
  );
  expect(told.join()).not.toContain('127.0.0.2');
  for (const socket of [secure, ...idle]) socket.destroy();
});

it('ends a connection that begins no TLS in time', async () => {
  await start('ca.pem', { loginMs: 200 });
  const socket = connectPlain(broker.tlsPort, '127.0.0.1');
  socket.on('error', () => {});
  await new Promise((resolve) => socket.once('close', resolve));
  await expect
    .poll(() => told)
    .toContain(
      'The broker refused a connection by TLS from 127.0.0.1: the client did not begin TLS as it must.',
    );
});
