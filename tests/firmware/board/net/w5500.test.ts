// The driver of the W5500 on a model of the chip, its connection to a real broker, and every fault of chip, cable
// and DHCP server: the driver takes one small step a turn, gets over it, and never throws.
import { createHash } from 'node:crypto';
import { setTimeout as pause } from 'node:timers/promises';
import { connectAsync } from 'mqtt';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import {
  LinkState,
  type Mqtt,
  mqttClosed,
  mqttData,
  mqttOpened,
  mqttPublish,
  mqttTick,
  mqttWakeAt,
  newMqtt,
} from '../../../../firmware/link/mqtt';
import type { NetPort } from '../../../../firmware/ports';
import { type Broker, startMosquitto } from '../../../support/brokers';
import { DhcpServer, KIND } from '../../../support/dhcpServer';
import { W5500 } from '../../../support/w5500';

interface Driver {
  setUpNet(wiring: object, address: string, jitter: number, on: object): void;
  netTurn(now: number): void;
  boardNet: NetPort;
}
/** Loaded by a path the compiler does not follow: the interpreter's types clash with Node's. */
const DRIVER = new URL('../../../../firmware/board/net/w5500.ts', import.meta.url).href;
const SYSTEM = new URL('../../../../firmware/board/system.ts', import.meta.url).href;
const system = {
  boardEntropy: () => {
    random = (random * 1103515245 + 12345) | 0;
    return random;
  },
  boardSha256: (bytes: string) => createHash('sha256').update(bytes, 'latin1').digest().toString('latin1'),
};
vi.doMock(SYSTEM, () => system);
vi.doMock('../../../../firmware/board/system', () => system);
const TURN_MS = 250;
const FIXED = { ip: '192.0.2.7', mask: '255.255.255.0', gateway: '192.0.2.1' };
const SECONDS = (n: number) => (n * 1000) / TURN_MS;

let chip: W5500;
let dhcp: DhcpServer;
let driver: Driver;
let now = 0;
let seen: string[] = [];
let random = 1;
/** Longest turn so far, in SPI bytes, and most commands in one. */
let most = { bytes: 0, commands: 0 };

function stubBoard(): void {
  class Pin {
    constructor(readonly name: string) {}
  }
  const send = (data: string) =>
    Array.from(data, (c) => String.fromCharCode(chip.exchange(c.charCodeAt(0)))).join('');
  vi.stubGlobal('Pin', Pin);
  vi.stubGlobal('pinMode', () => {});
  vi.stubGlobal('digitalWrite', (pin: Pin, level: number) => {
    if (pin.name === 'X') chip.select(level);
    if (pin.name === 'N' && level === 0) chip.reset();
  });
  vi.stubGlobal('SPI', { find: () => ({ setup: () => {}, send }) });
}

async function begin(wiring: object, port = 1): Promise<void> {
  vi.resetModules();
  driver = (await import(DRIVER)) as Driver;
  const spi = { sck: 'K', miso: 'I', mosi: 'O', cs: 'X', reset: 'N' };
  driver.setUpNet({ kind: 'w5500', broker: '127.0.0.1', port, ...spi, ...wiring }, 'site/c1', 0.5, {
    opened: () => seen.push('opened'),
    data: (bytes: string) => seen.push(bytes),
    closed: () => seen.push('closed'),
    isQuiet: () => true,
  });
}

function turns(count: number): void {
  for (let i = 0; i < count; i++) {
    now += TURN_MS;
    driver.netTurn(now);
    const { bytes, commands } = chip.count();
    most = { bytes: Math.max(most.bytes, bytes), commands: Math.max(most.commands, commands) };
  }
}

beforeEach(() => {
  chip = new W5500();
  dhcp = new DhcpServer(chip);
  [now, seen, random, most] = [0, [], 1, { bytes: 0, commands: 0 }];
  stubBoard();
});

afterEach(() => {
  chip.reset();
  vi.unstubAllGlobals();
  // Two steps, the lease and the connection, of one command each, and two chunks of 512 bytes with their frames.
  expect(most.commands).toBeLessThanOrEqual(2);
  expect(most.bytes).toBeLessThanOrEqual(1200);
});

describe('the chip', () => {
  it('gets an address of its own kind, the same at every start and another for each controller', async () => {
    await begin(FIXED);
    turns(10);
    // Bit 1 of the first byte: locally administered; bit 0: a group (IEEE 802-2014, 8.2.2).
    expect(chip.mac()[0] & 3).toBe(2);
    const first = chip.mac().toString('hex');
    await begin(FIXED);
    turns(10);
    expect(chip.mac().toString('hex')).toBe(first);
    expect(first).not.toMatch(/^0008dc/);
    expect(driver.boardNet.isReady()).toBe(true);
    expect(chip.address()).toBe(FIXED.ip);
  });

  it.each([0xff, 0] as const)(
    'that reads as %i is looked for again every 10 s, and used once it is there',
    async (dead) => {
      chip.dead = dead;
      await begin(FIXED);
      turns(SECONDS(3600));
      expect(driver.boardNet.isReady()).toBe(false);
      chip.dead = undefined;
      turns(SECONDS(12));
      expect(driver.boardNet.isReady()).toBe(true);
    },
  );

  it('that resets itself is set up again', async () => {
    await begin({});
    turns(SECONDS(10));
    expect(driver.boardNet.isReady()).toBe(true);
    chip.reset();
    turns(SECONDS(2));
    expect(driver.boardNet.isReady()).toBe(false);
    turns(SECONDS(20));
    expect([driver.boardNet.isReady(), chip.address()]).toEqual([true, '192.0.2.50']);
  });
});

describe('the cable', () => {
  it('may be out at the start, for as long as it likes', async () => {
    chip.isPlugged = false;
    await begin({});
    turns(SECONDS(7200));
    expect([driver.boardNet.isReady(), dhcp.requests.length]).toEqual([false, 0]);
    chip.isPlugged = true;
    turns(SECONDS(5));
    expect(driver.boardNet.isReady()).toBe(true);
  });

  it('may be pulled later: the address stays, and is asked for anew when the cable is back', async () => {
    await begin({});
    turns(SECONDS(5));
    chip.isPlugged = false;
    turns(SECONDS(100));
    expect(driver.boardNet.isReady()).toBe(false);
    chip.isPlugged = true;
    const asked = dhcp.requests.length;
    turns(SECONDS(5));
    expect(dhcp.requests.slice(asked).map((r) => [r.kind, r.own])).toEqual([[KIND.request, '192.0.2.50']]);
    expect(driver.boardNet.isReady()).toBe(true);
  });
});

describe('DHCP', () => {
  it('asks, takes the offer and has an address', async () => {
    await begin({});
    turns(SECONDS(5));
    expect(
      dhcp.requests.map(({ kind, to, wanted, isBroadcastWanted }) => [kind, to, wanted, isBroadcastWanted]),
    ).toEqual([
      [KIND.discover, '255.255.255.255', '', true],
      [KIND.request, '255.255.255.255', '192.0.2.50', true],
    ]);
    expect(dhcp.requests[0].mac).toEqual(chip.mac());
    expect(chip.address()).toBe('192.0.2.50');
    expect([...chip.common.subarray(1, 9)]).toEqual([192, 0, 2, 254, 255, 255, 255, 0]);
  });

  it('that never answers is asked again for ever, at most about once a minute', async () => {
    dhcp.isSilent = true;
    await begin({});
    turns(SECONDS(24 * 3600));
    expect(dhcp.requests.length).toBeGreaterThan(1200);
    expect(dhcp.requests.length).toBeLessThan(1500);
    dhcp.isSilent = false;
    turns(SECONDS(70));
    expect(driver.boardNet.isReady()).toBe(true);
  });

  it('that refuses what it offered is asked again', async () => {
    dhcp.refuses = true;
    await begin({});
    turns(SECONDS(60));
    expect(driver.boardNet.isReady()).toBe(false);
    expect(dhcp.kinds().slice(0, 4)).toEqual([KIND.discover, KIND.request, KIND.discover, KIND.request]);
    dhcp.refuses = false;
    turns(SECONDS(10));
    expect(driver.boardNet.isReady()).toBe(true);
  });

  it('renews at half of the lease with its server, and keeps the address', async () => {
    await begin({});
    turns(SECONDS(5));
    const [, , ...none] = dhcp.requests;
    expect(none).toEqual([]);
    turns(SECONDS(1790));
    expect(dhcp.requests.length).toBe(2);
    turns(SECONDS(20));
    expect(dhcp.requests.slice(2).map((r) => [r.kind, r.to, r.own])).toEqual([
      [KIND.request, '192.0.2.1', '192.0.2.50'],
    ]);
    expect(seen).toEqual([]);
  });

  it('asks any server after seven eighths of the lease, and gives the address up at its end', async () => {
    await begin({});
    turns(SECONDS(5));
    dhcp.isSilent = true;
    turns(SECONDS(3500));
    const tos = [...new Set(dhcp.requests.slice(2).map((r) => r.to))];
    expect(tos).toEqual(['192.0.2.1', '255.255.255.255']);
    expect(chip.address()).toBe('192.0.2.50');
    turns(SECONDS(120));
    expect([chip.address(), driver.boardNet.isReady()]).toEqual(['0.0.0.0', false]);
    dhcp.isSilent = false;
    dhcp.address = '192.0.2.51';
    turns(SECONDS(70));
    expect(chip.address()).toBe('192.0.2.51');
  });
});

describe('with a real broker', () => {
  let broker: Broker;
  let m: Mqtt;

  async function online(): Promise<void> {
    broker = await startMosquitto();
    await begin(FIXED, broker.port);
    const options = {
      clientId: 'c1',
      user: '',
      password: '',
      keepAliveSec: 30,
      willTopic: '',
      willPayload: '',
      topics: ['down'],
      jitter: 0,
    };
    const events = {
      accepts: () => true,
      online: () => seen.push('online'),
      offline: () => seen.push('offline'),
      message: (topic: string, payload: string) => seen.push(`${topic}: ${payload.length}`),
      published: () => seen.push('published'),
    };
    m = newMqtt(options, driver.boardNet, events);
    driver.setUpNet(
      {
        kind: 'w5500',
        broker: '127.0.0.1',
        port: broker.port,
        sck: 'K',
        miso: 'I',
        mosi: 'O',
        cs: 'X',
        ...FIXED,
      },
      'site/c1',
      0,
      {
        opened: () => mqttOpened(m, now),
        data: (bytes: string) => mqttData(m, bytes, now),
        closed: () => mqttClosed(m, now),
        isQuiet: () => true,
      },
    );
    await until(() => m.state === LinkState.Online);
  }

  /** Turns of the loop, with time for the real sockets in between. */
  async function until(isDone: () => boolean): Promise<void> {
    await expect
      .poll(
        async () => {
          turns(1);
          if (m.state !== LinkState.Waiting || driver.boardNet.isReady()) {
            if (now >= mqttWakeAt(m)) mqttTick(m, now);
          }
          await pause(2);
          return isDone();
        },
        { interval: 1 },
      )
      .toBe(true);
  }

  afterEach(async () => {
    await broker.stop();
  });

  it('publishes a whole record and receives a whole plan, in pieces', async () => {
    await online();
    const other = await connectAsync(broker.url);
    await other.subscribeAsync('up');
    const got: string[] = [];
    other.on('message', (_topic, payload) => got.push(payload.toString()));
    const record = 'r'.repeat(3072);
    mqttPublish(m, 'up', record, 1, 0, now);
    await until(() => seen.includes('published') && got.length > 0);
    expect(got).toEqual([record]);
    await other.publishAsync('down', 'p'.repeat(3900), { qos: 1 });
    await until(() => seen.includes('down: 3900'));
    await other.endAsync();
  });

  it('comes back after a reset of the connection, and after a pulled cable and a chip that reset itself', async () => {
    await online();
    for (const harm of [() => chip.breakOff(), () => chip.reset()]) {
      seen.length = 0;
      harm();
      await until(() => seen.includes('online'));
      expect(seen[0]).toBe('offline');
    }
    seen.length = 0;
    chip.isPlugged = false;
    await until(() => m.state !== LinkState.Online);
    chip.isPlugged = true;
    await until(() => m.state === LinkState.Online);
  });
});
