// Clients that mean harm, or are merely broken, on real sockets: whatever one does, the others go on.
import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { encodeConnect, encodeSubscribe } from '../../../firmware/link/packets';
import { type Broker, type BrokerOptions, startBroker } from '../../../host/broker/broker';
import { loginOf } from '../../../host/broker/logins';
import { HOST_CLIENT } from '../../../host/broker/parties';
import { RawClient, type RawLogin } from '../../support/rawMqtt';
import { KEYS } from '../logbook/records';

let broker: Broker;
let problems: string[];
let clients: { close(): void }[];

async function start(more: Partial<BrokerOptions> = {}): Promise<void> {
  broker = await startBroker({
    ...{ port: 0, site: 'demo', controllers: ['a', 'b'], keys: KEYS, isOpen: false },
    onProblem: (sentence) => problems.push(sentence),
    ...more,
    limits: { refusalMs: 1, ...more.limits },
  });
}

beforeEach(() => {
  problems = [];
  clients = [];
});
afterEach(async () => {
  for (const client of clients) client.close();
  await broker.close();
});

const login = (user: string, clientId = user): RawLogin => ({ clientId, ...loginOf(KEYS, user) });

async function open(from?: string): Promise<RawClient> {
  const client = await RawClient.open({ port: broker.port, ...(from && { from }) });
  clients.push(client);
  return client;
}

async function raw(who: RawLogin, from?: string): Promise<RawClient> {
  const client = await open(from);
  expect(await client.logIn(who)).toBe(0);
  return client;
}

async function join({ clientId, user, password }: RawLogin): Promise<MqttClient> {
  const client = await mqtt.connectAsync(broker.url, {
    ...{ clientId, protocolVersion: 4, reconnectPeriod: 0, username: user, password },
  });
  client.on('error', () => {});
  clients.push({ close: () => client.end(true) });
  return client;
}

/** A host and a controller that do what they should; `send` resolves once the host has got all. */
async function honest(): Promise<{ send(count: number): Promise<void>; heard: string[] }> {
  const host = await join(login(HOST_CLIENT, 'nightproof-host-1'));
  const heard: string[] = [];
  host.on('message', (topic, payload) => heard.push(`${topic.split('/')[3]} ${payload.toString()}`));
  await host.subscribeAsync(['nightproof/demo/+/record', 'nightproof/demo/+/presence'], { qos: 1 });
  const controller = await join(login('demo.a'));
  let sent = 0;
  return {
    heard,
    async send(count) {
      sent += count;
      const texts = Array.from({ length: count }, (_, i) => `${sent - i}`.padEnd(3000, '.'));
      const topic = 'nightproof/demo/a/record';
      await Promise.all(texts.map((text) => controller.publishAsync(topic, text, { qos: 1 })));
      const ours = () => heard.filter((line) => /^record \d+\.+$/.test(line)).length;
      await expect.poll(ours, { interval: 5 }).toBe(sent);
    },
  };
}

describe('one client alone', () => {
  it('stops nobody by not reading, and is disconnected', async () => {
    await start({ limits: { queueBytes: 65_536, packetsPerSec: 100_000 } });
    const { send } = await honest();
    const reader = await raw(login('reader-hall'));
    expect(await reader.subscribe('nightproof/demo/+/record')).toEqual([1]);
    reader.stopReading();
    // The kernel takes several megabytes for it before anybody notices.
    for (let i = 0; i < 50 && !problems.length; i++) await send(200);
    expect(problems).toEqual([
      'The broker refused something: client reader-hall at 127.0.0.1 does not read what it has subscribed to, and was ' +
        'disconnected.',
    ]);
    await send(200);
  });

  it('keeps no one out by beginning to log in and waiting', async () => {
    await start({ limits: { loginMs: 600, unfinished: 5 } });
    const slow = await Promise.all(Array.from({ length: 20 }, () => open()));
    for (const client of slow) client.send('\x10\x20\x00');
    await (await honest()).send(5);
    await Promise.all(slow.map((client) => client.untilClosed()));
    expect(problems).toEqual([
      'The broker refused something: too many connections that do not log in.',
      'The broker refused something: something at 127.0.0.1 connected, but did not log in, and was disconnected.',
    ]);
  });

  it('keeps no controller at another address from logging in, however fast it opens connections', async () => {
    await start({ limits: { unfinished: 5 } });
    const controller = await open('127.0.0.8');
    let opened = 0;
    let isOver = false;
    const flood = (async () => {
      for (; !isOver; opened++) await open('127.0.0.9');
    })();
    await expect.poll(() => opened, { interval: 5 }).toBeGreaterThan(20);
    const code = await controller.logIn(login('demo.a'));
    isOver = true;
    await flood;
    expect(code).toBe(0);
  });

  it('has no more connections than one address may have', async () => {
    await start({ limits: { perAddress: 3 } });
    const many = await Promise.all(Array.from({ length: 6 }, () => open('127.0.0.9')));
    await expect.poll(() => many.filter(({ isClosed }) => isClosed).length).toBe(3);
    expect(problems[0]).toContain('too many connections from 127.0.0.9.');
    await (await honest()).send(5);
  });

  it('may not send a packet longer than the wire needs, and none before it has logged in', async () => {
    await start();
    const { send, heard } = await honest();
    const b = await raw(login('demo.b'));
    // Ten megabytes announced, of which it never sends more.
    b.send('\x30\x80\xad\xe2\x04\x00\x18nightproof/demo/b/record');
    await b.untilClosed();
    const stranger = await open();
    stranger.publish('nightproof/demo/a/record', 'forged');
    await stranger.untilClosed();
    await send(3);
    expect(heard.filter((line) => line.includes('forged'))).toEqual([]);
    expect(problems.map((line) => line.slice(30))).toEqual([
      'client demo.b at 127.0.0.1 sent a packet that is too long, and was disconnected.',
      'something at 127.0.0.1 does not speak MQTT 3.1.1, and was disconnected.',
    ]);
  });

  it('that floods is slowed down in its own connection, and loses nothing', async () => {
    await start({ limits: { packetsPerSec: 400, packetsAtOnce: 100 } });
    const { send, heard } = await honest();
    const b = await raw(login('demo.b'));
    for (let i = 0; i < 600; i++) b.publish('nightproof/demo/b/record', `flood ${i}`, 1);
    const flooded = () => heard.filter((line) => line.startsWith('record flood')).length;
    await expect.poll(flooded).toBeGreaterThan(90);
    await send(1);
    expect(flooded()).toBeLessThan(600);
    await expect.poll(flooded).toBe(600);
  });

  it('may send what follows its log-in at once', async () => {
    await start();
    const hasty = await open();
    // As a commissioned controller does, whose user is its client id.
    const { clientId, password = '' } = login('demo.a');
    const asks = { clientId, password, keepAliveSec: 60, willTopic: '', willPayload: '' };
    hasty.send(encodeConnect(asks) + encodeSubscribe(9, ['nightproof/demo/a/ack']));
    await expect.poll(() => hasty.heard.toString('hex')).toBe('20020000' + '9003000901');
  });

  it('is disconnected when it is silent, although it asked never to be', async () => {
    await start({ limits: { keepAliveSec: 1 } });
    const silent = await raw({ ...login('demo.b'), keepAliveSec: 0 });
    await silent.untilClosed();
  });

  it('leaves nothing behind in the broker: no session and no QoS 2', async () => {
    await start();
    const away = { ...login('demo.a'), clean: false };
    const first = await mqtt.connectAsync(broker.url, {
      ...{ clientId: away.clientId, username: away.user!, password: away.password! },
      ...{ protocolVersion: 4, clean: false, reconnectPeriod: 0 },
    });
    await first.subscribeAsync('nightproof/demo/a/order', { qos: 1 });
    first.stream.destroy();
    const host = await join(login(HOST_CLIENT, 'nightproof-host-1'));
    await host.publishAsync('nightproof/demo/a/order', 'kept', { qos: 1 });
    const again = await raw(login('demo.a'));
    again.publish('nightproof/demo/a/record', 'twice', 2);
    await again.untilClosed();
    expect(again.heard.includes('kept')).toBe(false);
    expect(problems.join()).toContain('QoS 2 is not used here');
  });
});

describe('who may log in', () => {
  it('is known by the password of the site secret; the code tells the rest that it is refused', async () => {
    await start();
    const codes = async (who: RawLogin) => (await open()).logIn(who);
    expect(await codes(login('demo.a'))).toBe(0);
    expect(await codes({ clientId: 'demo.b' })).toBe(4);
    expect(await codes({ clientId: 'laptop' })).toBe(4);
    expect(await codes({ clientId: 'nightproof-host-2' })).toBe(4);
    expect(await codes({ ...login('demo.a'), password: 'guess' })).toBe(4);
    expect(await codes({ ...login('demo.a'), clientId: 'demo.b' })).toBe(5);
    expect(await codes({ ...login('reader-hall'), clientId: 'demo.b' })).toBe(5);
    expect(await codes({ ...login('demo.b'), user: HOST_CLIENT, clientId: 'nightproof-host-2' })).toBe(4);
    expect(
      problems.every((line) => /^The broker refused something: [^\n]*, from 127.0.0.1\.$/.test(line)),
    ).toBe(true);
    expect(problems).toHaveLength(7);
    expect(problems.join()).not.toContain('guess');
  });

  it('lets old controllers in without a password until each has shown its own, also after a restart', async () => {
    const texts = new Map<string, string>();
    const memory = { recall: (name: string) => texts.get(name) ?? '', remember: texts.set.bind(texts) };
    await start({ old: ['a'], memory });
    const code = async (who: RawLogin) => (await open()).logIn(who);
    expect(await code({ clientId: 'demo.a' })).toBe(0);
    expect(await code({ clientId: 'demo.b' })).toBe(4);
    expect(await code(login('demo.a'))).toBe(0);
    expect(await code({ clientId: 'demo.a' })).toBe(4);
    await broker.close();
    await start({ old: ['a'], memory });
    expect(await code({ clientId: 'demo.a' })).toBe(4);
    expect(await code(login('demo.a'))).toBe(0);
  });

  it('takes no controller over without its password', async () => {
    await start({ isOpen: true });
    const old = await raw({ clientId: 'demo.a' });
    expect(await (await open('127.0.0.7')).logIn({ clientId: 'demo.a' })).toBe(3);
    expect(problems).toEqual([
      'The broker refused something: controller a is connected from 127.0.0.1 already, and somebody logged in as it ' +
        'without a password, from 127.0.0.7.',
    ]);
    expect(old.isClosed).toBe(false);
    // The real one with its password may come from anywhere, and from then on nobody without.
    const real = await raw(login('demo.a'), '127.0.0.8');
    await old.untilClosed();
    expect(await (await open()).logIn({ clientId: 'demo.a' })).toBe(4);
    expect(real.isClosed).toBe(false);
    expect(problems[1]).toBe(
      'The broker: controller a logged in from 127.0.0.8 while it was connected from 127.0.0.1; the older connection was ' +
        'closed.',
    );
  });
});

describe('seats', () => {
  it('for readers with a password are not taken by guests', async () => {
    await start({ isOpen: true, limits: { readers: 2 } });
    const code = async (who: RawLogin) => (await open()).logIn(who);
    expect(await code({ clientId: 'laptop-1' })).toBe(0);
    expect(await code({ clientId: 'laptop-2' })).toBe(0);
    expect(await code({ clientId: 'laptop-3' })).toBe(3);
    expect(await code(login('reader-hall'))).toBe(0);
    expect(await code(login('reader-desk'))).toBe(0);
    expect(await code(login('reader-gate'))).toBe(3);
    expect(problems.map((line) => line.slice(30))).toEqual([
      'client laptop-3 is one guest too many, from 127.0.0.1.',
      'client reader-gate is one reader too many, from 127.0.0.1.',
    ]);
  });

  it('are told as taken over only when they are', async () => {
    await start();
    const first = await raw(login('demo.a'));
    const will = { willTopic: 'nightproof/demo/b/presence', willPayload: 'gone' };
    expect(await (await open('127.0.0.8')).logIn({ ...login('demo.a'), ...will })).toBe(5);
    expect(first.isClosed).toBe(false);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toContain('a last will was left: controller a may not publish');
  });
});

describe('what is not granted is refused', () => {
  it('everything to strangers but the notice, and to readers everything but what goes to controllers', async () => {
    await start({ isOpen: true });
    const asked = ['#', '$SYS/#', 'nightproof/#', 'nightproof/demo/#', 'nightproof/demo/a/state', '+/+/+/+'];
    const stranger = await raw({ clientId: 'laptop' });
    expect(await stranger.subscribe(...asked)).toEqual(Array(6).fill(128));
    expect(await stranger.subscribe('nightproof/demo/notice')).toEqual([1]);
    const reader = await raw(login('reader-hall'));
    expect(await reader.subscribe(...asked)).toEqual([128, 128, 128, 128, 1, 128]);
    expect(await reader.subscribe('nightproof/demo/+/state', 'nightproof/demo/a/order')).toEqual([1, 128]);
    reader.publish('nightproof/demo/notice', 'all is well', 1, 1);
    await reader.untilClosed();
  });

  it('a last will that its client could not publish', async () => {
    await start();
    const { heard, send } = await honest();
    const will = { willTopic: 'nightproof/demo/a/presence', willPayload: 'gone' };
    expect(await (await open()).logIn({ ...login('demo.b'), ...will })).toBe(5);
    expect(problems[0]).toContain('a last will was left: controller b may not publish');
    const dying = await raw({
      ...login('demo.b'),
      willTopic: 'nightproof/demo/b/presence',
      willPayload: 'left',
    });
    dying.close();
    await expect.poll(() => heard).toContain('presence left');
    await send(1);
    expect(heard).not.toContain('presence gone');
  });
});

it('writes what clients say in printable ASCII, cut, once, and counts the rest', async () => {
  await start({ isOpen: true });
  for (let i = 0; i < 60; i++) {
    const stranger = await open();
    await stranger.logIn({ clientId: `x\n\x1b[2J${'y'.repeat(300)}` });
    await stranger.untilClosed();
  }
  const other = await raw({ clientId: 'laptop' });
  other.publish(`nightproof\r\nforged line ${'z'.repeat(400)}`, 'x');
  await other.untilClosed();
  for (let i = 0; i < 40; i++)
    expect(await (await open()).logIn({ ...login('demo.a'), password: `${i}` })).toBe(4);
  for (let i = 0; i < 40; i++)
    expect(await (await open()).logIn({ clientId: `nightproof-host-${i}` })).toBe(4);
  expect(problems.length).toBeLessThan(25);
  for (const line of problems) expect(line).toMatch(/^[\x20-\x7e…]{1,240}$/);
  await broker.close();
  expect(problems.join('\n')).toContain(
    '59 more in the last minute: The broker refused something: a client with',
  );
  expect(problems.join('\n')).toContain('39 more in the last minute: ');
  expect(problems.at(-1)).toMatch(/^The broker refused \d+ other things in the last minute\.$/);
  await start();
});
