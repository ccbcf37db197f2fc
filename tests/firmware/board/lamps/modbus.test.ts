// The driver of the bus against the library `modbus-serial` over pseudo-terminals, so that real bytes of
// another implementation go both ways. Only the serial port itself is a stand-in. Time passes more slowly for
// all of them, so that a busy machine delays no answer by much.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Limit } from '../../../../firmware/contract/limits';
import { newInputs } from '../../../../firmware/core/inputs';
import { boardFile, CLASH, GARBLED, type LampsDriver, SILENT, SLOW } from '../../../support/lampsDriver';
import { ModbusBus, type Module, type Modules } from '../../../support/modbusBus';

const NEVER = Number.POSITIVE_INFINITY;
const TURN_MS = 20;
const SLOWER = 4;

const WIRING = { driver: 'modbus', port: 'Serial2', tx: 'T', rx: 'R', baud: 19200, parity: 'even', code: 4 };

let driver: LampsDriver;
let bus: ModbusBus;
let setUp: unknown[];
/** While above 0, the next requests get lost on the line. */
let loses = 0;

const now = (): number => Math.round(performance.now() / SLOWER);

/** Connects the driver to modules. `rows`: address, register and scale of each lamp. */
async function connect(rows: number[], ...segments: Modules[]): Promise<void> {
  bus = new ModbusBus(...segments);
  await bus.open();
  let take: (bytes: string) => void = () => {};
  bus.heard = (bytes) => take(bytes.toString('latin1'));
  const Serial2 = {
    setup: (...options: unknown[]) => {
      setUp = options;
    },
    write: (text: string) => {
      if (loses > 0) loses--;
      else bus.send(Buffer.from(text, 'latin1'));
    },
    on: (_event: string, callback: (bytes: string) => void) => {
      take = callback;
    },
  };
  const Pin = function Pin(this: { name: string }, name: string) {
    this.name = name;
  };
  Object.assign(globalThis, { Serial2, Pin, getTime: () => performance.now() / SLOWER / 1000 });
  vi.resetModules();
  driver = (await import(boardFile('lamps/modbus'))) as LampsDriver;
  driver.setUpLamps({ ...WIRING, rows }, {});
}

beforeEach(() => {
  loses = 0;
  const usual = setTimeout;
  vi.stubGlobal('setTimeout', (call: () => void, ms: number) => usual(call, ms * SLOWER));
});
afterEach(async () => {
  await bus.close();
  vi.unstubAllGlobals();
  for (const name of ['Serial2', 'Pin', 'getTime']) Reflect.deleteProperty(globalThis, name);
});

/** One reading of so many lamps, asked for in every turn until it is there. */
async function read(count: number): Promise<number[]> {
  const inputs = newInputs();
  const since = now();
  while (driver.readLamps(inputs, count, since) === 0) await new Promise((done) => setTimeout(done, TURN_MS));
  return Array.from(inputs.lamp.slice(0, count));
}

/** So many modules of one register at the addresses from 1 on, which read 100, 101, … mA. */
function row(count: number, change: { [address: number]: Partial<Module> } = {}): [number[], Modules] {
  const modules: Modules = new Map();
  const rows: number[] = [];
  for (let address = 1; address <= count; address++) {
    modules.set(address, { counts: [99 + address], ...change[address] });
    rows.push(address, 0, 1);
  }
  return [rows, modules];
}

describe('current modules on a bus', () => {
  it('give each of 16 lamps its own current, by one request each', async () => {
    await connect(...row(16));
    expect(await read(16)).toEqual(Array.from({ length: 16 }, (_, i) => 100 + i));
    expect(bus.requests.map((request) => request[0])).toEqual(Array.from({ length: 16 }, (_, i) => i + 1));
    expect(setUp).toEqual([19200, { tx: { name: 'T' }, rx: { name: 'R' }, parity: 'even', stopbits: 1 }]);
  });

  it('have registers and scales of their own, and signed counts', async () => {
    const modules: Modules = new Map([
      [7, { counts: [2000, -30] }],
      [247, { counts: [0, 0, 0, 41] }],
    ]);
    await connect([7, 0, 0.1, 7, 1, 1, 247, 3, 5], modules);
    expect(await read(3)).toEqual([200, -30, 205]);
  });

  it('are out of range when they report more than any lamp draws', async () => {
    await connect([1, 0, 10], new Map([[1, { counts: [32767] }]]));
    expect(await read(1)).toEqual([Limit.RailHigh]);
  });

  it('are asked again within the reading when an answer is lost', async () => {
    await connect(...row(3));
    loses = 1;
    expect(await read(3)).toEqual([100, 101, 102]);
    expect(bus.requests.map((request) => request[0])).toEqual([2, 3, 1]);
  });

  it('give no reading older than the one asked for', async () => {
    const [rows, modules] = row(1);
    await connect(rows, modules);
    const inputs = newInputs();
    driver.readLamps(inputs, 1, now());
    await vi.waitUntil(() => bus.requests.length === 1);
    modules.set(1, { counts: [250] });
    expect(await read(1)).toEqual([250]);
  });
});

describe('a fault of the bus', () => {
  it('of each kind has a reading of its own, and the other lamps are read', async () => {
    const [rows, modules] = row(6, {
      2: { lateMs: NEVER },
      3: { lateMs: 220 },
      5: { counts: [] },
    });
    await connect(rows, modules, new Map([[4, { counts: [333] }]]));
    // Two modules that collide are told from noise only after some readings.
    await expect.poll(() => read(6)).toEqual([100, SILENT, SLOW, CLASH, GARBLED, 105]);
  });

  it('of an address used twice shows at once when one answer follows the other', async () => {
    await connect(...row(2), new Map([[1, { counts: [100] }]]));
    bus.isApart = true;
    expect(await read(2)).toEqual([CLASH, 101]);
  });

  it('at every module at once ends the reading, with one request to each', async () => {
    await connect(row(16)[0], new Map());
    expect(await read(16)).toEqual(Array.from({ length: 16 }, () => SILENT));
    expect(bus.requests).toHaveLength(16);
  });

  it('makes a luminaire silent for which the configuration has no module', async () => {
    await connect(...row(1));
    expect(await read(2)).toEqual([100, SILENT]);
  });

  it('that turns bits over never changes a current: it is right or missing', async () => {
    await connect(...row(4));
    // A byte in 12 is hit, and an answer has seven.
    bus.noise = 0.01;
    let missing = 0;
    for (let i = 0; i < 25; i++) {
      const lamps = await read(4);
      lamps.forEach((ma, lamp) => {
        if (ma < 0) missing++;
        expect(ma < 0 ? [GARBLED, CLASH] : [100 + lamp]).toContain(ma);
      });
    }
    expect(missing).toBeGreaterThan(0);
    expect(missing).toBeLessThan(50);
  });

  it('at a port that the interpreter does not have stops the program at start-up', async () => {
    await connect(...row(1));
    expect(() => driver.setUpLamps({ ...WIRING, port: 'Serial9', rows: [] }, {})).toThrow(
      'No serial port Serial9',
    );
  });
});
