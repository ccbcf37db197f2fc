// The driver of the interpreter's own network: it joins the access point for ever, connects only under a longer
// watchdog, and after a connect that stopped the loop waits for a sign of life. The module `Wifi` gives up after
// three tries (jswrap_esp32_network.c of the interpreter, 2v29, `s_retry_num`), so here every event comes by hand.
import { readFileSync } from 'node:fs';
import ts from 'typescript';
import { beforeEach, describe, expect, it } from 'vitest';
import * as limits from '../../../../firmware/contract/limits';
import * as topics from '../../../../firmware/contract/topics';
import type { NetPort } from '../../../../firmware/ports';

interface Driver {
  setUpNet(wiring: object, address: string, jitter: number, on: object): void;
  netTurn(now: number): void;
  boardNet: NetPort;
}
const { Limit } = limits;
const { PROBE } = topics;
const SOURCE = new URL('../../../../firmware/board/net/wifi.ts', import.meta.url);
const { outputText } = ts.transpileModule(readFileSync(SOURCE, 'utf8'), {
  compilerOptions: { module: ts.ModuleKind.CommonJS, target: ts.ScriptTarget.ES5 },
});
const program = new Function('require', 'exports', outputText);
const TURN_MS = 250;
const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const JITTER = 0.5;

type Handlers = { [event: string]: (bytes?: string) => void };

let driver: Driver;
let now = 0;
let isQuiet = true;
let seen: string[] = [];
/** Times at which the driver joined, ms, and the events of the module it listens to. */
let joins: number[] = [];
let wifi: Handlers = {};
/** Seconds given to the watchdog. */
let armed: number[] = [];
/** How long a connect takes, ms, and whether it fails. */
let stopMs = 0;
let fails = false;
let sockets: { handlers: Handlers; opened: () => void; isEnded: boolean }[] = [];
let probes: string[] = [];
/** Whether there is no socket for a datagram. */
let failsToAsk = false;
let answer: (bytes: string) => void = () => {};

function connect(_options: object, opened: () => void): object {
  now += stopMs;
  if (fails) throw new Error('Unable to create socket');
  const socket = { handlers: {} as Handlers, opened, isEnded: false };
  sockets.push(socket);
  return {
    on: (event: string, handler: () => void) => {
      socket.handlers[event] = handler;
    },
    write: (bytes: string) => seen.push(`written ${bytes}`),
    end: () => {
      socket.isEnded = true;
    },
  };
}

const modules: { [name: string]: object } = {
  Wifi: {
    on: (event: string, handler: () => void) => {
      wifi[event] = handler;
    },
    stopAP: () => {},
    connect: () => joins.push(now),
  },
  net: { connect },
  dgram: {
    createSocket: () => ({
      on: (_event: string, handler: (bytes: string) => void) => {
        answer = handler;
      },
      bind: () => {
        if (failsToAsk) throw new Error('Unable to create socket');
      },
      send: (bytes: string, port: number, address: string) => probes.push(`${bytes} ${address}:${port}`),
      close: () => {},
    }),
  },
  '../system': { boardNow: () => now, armWatchdog: (seconds: number) => armed.push(seconds) },
  '../../contract/limits': limits,
  '../../contract/topics': topics,
};

/** The driver as after a start. */
function begin(kind: 'wifi' | 'host'): void {
  const exports = {};
  program((name: string) => modules[name], exports);
  driver = exports as Driver;
  driver.setUpNet({ kind, broker: '192.0.2.9', port: 1883, ssid: 's', password: 'p' }, 'site/c1', JITTER, {
    opened: () => seen.push('opened'),
    data: (bytes: string) => seen.push(bytes),
    closed: () => seen.push('closed'),
    isQuiet: () => isQuiet,
  });
}

/** Turns of the loop for so long. */
function pass(ms: number): void {
  for (const end = now + ms; now < end; ) {
    now += TURN_MS;
    driver.netTurn(now);
  }
}

/** Asks every turn, as the link does, for so long; returns the ms until a connect was allowed, -1 never. */
function readyIn(ms: number): number {
  const from = now;
  for (; now - from < ms; now += TURN_MS) if (driver.boardNet.isReady()) return now - from;
  return -1;
}

beforeEach(() => {
  [now, isQuiet, seen, joins, wifi, armed] = [0, true, [], [], {}, []];
  [stopMs, fails, sockets, probes, failsToAsk] = [0, false, [], [], false];
});

describe('the access point', () => {
  it('is joined at the first turn, and the network used once there is an address', () => {
    begin('wifi');
    expect(joins).toEqual([]);
    pass(TURN_MS);
    expect(joins).toEqual([TURN_MS]);
    expect(driver.boardNet.isReady()).toBe(false);
    wifi.connected();
    expect(driver.boardNet.isReady()).toBe(true);
  });

  it('that gives up is joined again for ever, at longer and longer intervals of at most 3 min', () => {
    begin('wifi');
    pass(TURN_MS);
    const pauses: number[] = [];
    for (let i = 0; i < 500; i++) {
      const from = now;
      wifi.disconnected();
      while (joins.length < i + 2 && now - from < HOUR) pass(TURN_MS);
      pauses.push(joins[i + 1] - from);
    }
    expect(pauses.slice(0, 7)).toEqual([7500, 15_000, 30_000, 60_000, 120_000, 180_000, 180_000]);
    expect(new Set(pauses.slice(6))).toEqual(new Set([180_000]));
  });

  it('of which no event comes is joined again after a minute and a pause', () => {
    begin('wifi');
    pass(24 * HOUR);
    expect(joins[1] - joins[0]).toBe(MINUTE + 7500);
    // A minute for the attempt, two and a half of pause with this jitter, and a turn.
    expect(joins.length).toBeGreaterThan((24 * HOUR) / (4 * MINUTE + 1000));
  });

  it('is joined quickly again when it was lost after it had been joined', () => {
    begin('wifi');
    pass(TURN_MS);
    for (let i = 0; i < 5; i++) {
      wifi.disconnected();
      pass(4 * MINUTE);
    }
    wifi.connected();
    const lost = now;
    wifi.disconnected();
    expect(driver.boardNet.isReady()).toBe(false);
    pass(MINUTE);
    expect(joins[joins.length - 1] - lost).toBe(7500);
  });

  it('is not joined while a test is near', () => {
    begin('wifi');
    isQuiet = false;
    pass(HOUR);
    expect(joins).toEqual([]);
    isQuiet = true;
    pass(Limit.AskAgainMs + TURN_MS);
    expect(joins).toHaveLength(1);
  });

  it('is left alone by a driver that uses the network of the computer', () => {
    begin('host');
    pass(HOUR);
    expect(joins).toEqual([]);
    expect(driver.boardNet.isReady()).toBe(true);
  });

  it('is joined anew when eight connects in a row came to nothing', () => {
    begin('wifi');
    pass(TURN_MS);
    wifi.connected();
    for (let i = 0; i < 8; i++) {
      driver.boardNet.open();
      driver.boardNet.close();
    }
    expect(driver.boardNet.isReady()).toBe(true);
    expect(() => driver.boardNet.open()).toThrow();
    expect(driver.boardNet.isReady()).toBe(false);
    pass(MINUTE);
    expect(joins).toHaveLength(2);
  });
});

describe('a connect', () => {
  beforeEach(() => begin('host'));

  it('has the longer watchdog, and the usual one after it, though it fails', () => {
    driver.boardNet.open();
    fails = true;
    expect(() => driver.boardNet.open()).toThrow('Unable to create socket');
    expect(armed).toEqual([Limit.ConnectSec, Limit.WatchdogSec, Limit.ConnectSec, Limit.WatchdogSec]);
  });

  it('that took no longer than a turn may be repeated at once', () => {
    [stopMs, fails] = [Limit.LoopMs, true];
    expect(() => driver.boardNet.open()).toThrow();
    expect([driver.boardNet.isReady(), probes]).toEqual([true, []]);
  });

  it('that stopped the loop is repeated after an hour, if no datagram is answered', () => {
    [stopMs, fails] = [21_000, true];
    expect(() => driver.boardNet.open()).toThrow();
    expect(readyIn(2 * HOUR)).toBe(HOUR);
    expect(probes[0]).toBe(`${PROBE} 192.0.2.9:1883`);
  });

  it('that stopped the loop is repeated after five minutes, if the machine answers', () => {
    [stopMs, fails] = [21_000, true];
    expect(() => driver.boardNet.open()).toThrow();
    expect(readyIn(MINUTE)).toBe(-1);
    answer(PROBE);
    expect(readyIn(HOUR)).toBe(4 * MINUTE);
  });

  it('is not brought forward by somebody else’s datagram', () => {
    [stopMs, fails] = [21_000, true];
    expect(() => driver.boardNet.open()).toThrow();
    expect(readyIn(10 * MINUTE)).toBe(-1);
    answer('something else');
    expect(readyIn(HOUR)).toBe(50 * MINUTE);
  });

  it('that stopped the loop is repeated after an hour, if not even a datagram can be sent', () => {
    [stopMs, fails, failsToAsk] = [21_000, true, true];
    expect(() => driver.boardNet.open()).toThrow();
    expect(readyIn(MINUTE)).toBe(-1);
    failsToAsk = false;
    expect(readyIn(2 * HOUR)).toBe(59 * MINUTE);
    expect(probes.length).toBeGreaterThan(0);
  });

  it('passes on what the current connection says, and nothing of an earlier one', () => {
    driver.boardNet.open();
    const [first] = sockets;
    first.opened();
    first.handlers.data('a');
    driver.boardNet.write('b');
    driver.boardNet.close();
    driver.boardNet.open();
    first.opened();
    first.handlers.data('late');
    first.handlers.close();
    driver.boardNet.write('c');
    sockets[1].handlers.close();
    driver.boardNet.write('lost');
    expect(seen).toEqual(['opened', 'a', 'written b', 'written c', 'closed']);
    expect(first.isEnded).toBe(true);
  });
});
