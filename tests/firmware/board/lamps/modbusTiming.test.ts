// What the driver of the bus does with answers at exact instants, on a clock of the test: each request is
// answered by a script.
import sinon from 'sinon';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { BusTime, exchangeMs, silenceMs } from '../../../../firmware/board/lamps/timing';
import { Limit } from '../../../../firmware/contract/limits';
import { newInputs } from '../../../../firmware/core/inputs';
import { busFrame } from '../../../support/busFrame';
import { boardFile, CLASH, GARBLED, type LampsDriver, SILENT, SLOW } from '../../../support/lampsDriver';

const BAUD = 9600;

/** What comes in answer to a request, each so many ms after it. */
type Script = (address: number) => { afterMs: number; bytes: number[] }[];

let clock: sinon.SinonFakeTimers;
let driver: LampsDriver;
let script: Script;
let asked: { address: number; at: number }[];

/** An answer of one register. */
const answer = (address: number, count: number): number[] =>
  busFrame([address, 4, 2, count >> 8, count & 255]);
const later = (afterMs: number, bytes: number[]) => [{ afterMs, bytes }];
/** A module that reads 100 mA more than its address, in its time. */
const well = (address: number) => later(26, answer(address, 100 + address));

async function connect(rows: number[]): Promise<void> {
  let take: (bytes: string) => void = () => {};
  const Serial2 = {
    setup: () => {},
    write: (text: string) => {
      const address = text.charCodeAt(0);
      asked.push({ address, at: Date.now() });
      for (const { afterMs, bytes } of script(address))
        clock.setTimeout(() => take(String.fromCharCode(...bytes)), afterMs);
    },
    on: (_event: string, callback: (bytes: string) => void) => {
      take = callback;
    },
  };
  Object.assign(globalThis, { Serial2, Pin: class {}, getTime: () => Date.now() / 1000 });
  vi.resetModules();
  driver = (await import(boardFile('lamps/modbus'))) as LampsDriver;
  const wiring = { driver: 'modbus', port: 'Serial2', tx: 'T', rx: 'R', baud: BAUD, parity: 'even', code: 4 };
  driver.setUpLamps({ ...wiring, rows }, {});
}

const rowsOf = (count: number): number[] => Array.from({ length: count }, (_, i) => [i + 1, 0, 1]).flat();

beforeEach(() => {
  clock = sinon.useFakeTimers({ now: 1_000_000, toFake: ['setTimeout', 'clearTimeout', 'Date'] });
  script = well;
  asked = [];
});
afterEach(() => {
  clock.restore();
  for (const name of ['Serial2', 'Pin', 'getTime']) Reflect.deleteProperty(globalThis, name);
});

/** One reading, asked for in every turn of the loop; and how long it took, ms. */
function read(count: number): { lamps: number[]; ms: number } {
  const inputs = newInputs();
  const began = Date.now();
  while (driver.readLamps(inputs, count, began - 1_000_000) === 0) clock.tick(Limit.LoopMs);
  return { lamps: Array.from(inputs.lamp.slice(0, count)), ms: Date.now() - began };
}

/** Readings of a discharge, one after the other; the last of them. */
function readTimes(times: number, count: number): number[] {
  let last: number[] = [];
  for (let i = 0; i < times; i++) {
    last = read(count).lamps;
    clock.tick(Limit.LoopMs);
  }
  return last;
}

describe('the line', () => {
  it('is silent for 3.5 characters of 11 bits, and above 19,200 bit/s for 1.75 ms', () => {
    // MODBUS over Serial Line V1.02 (2006), 2.5.1 and 2.5.1.1.
    expect(silenceMs(9600)).toBeCloseTo(4.01, 2);
    expect(silenceMs(19200)).toBeCloseTo(2.005, 3);
    expect(silenceMs(115200)).toBe(1.75);
  });

  it('is kept silent that long between an answer and the next request', async () => {
    await connect(rowsOf(3));
    read(3);
    for (let i = 1; i < 3; i++)
      expect(asked[i].at - asked[i - 1].at - 26).toBeGreaterThanOrEqual(silenceMs(BAUD));
  });

  it('carries one register of a module in 27 ms at 9,600 bit/s if it answers at once', () => {
    // Eight characters there, seven back and twice the silence.
    expect(exchangeMs(BAUD, 0)).toBeCloseTo((15 * 11) / 9.6 + 2 * 4.01, 1);
  });
});

describe('a reading of 16 modules', () => {
  it('at 9,600 bit/s takes a second if each module and the program take 30 ms', async () => {
    // The answer is whole this long after the request's first bit; the silence after it is the driver's own.
    script = (address) => later(Math.round(exchangeMs(BAUD, 30) - silenceMs(BAUD)), answer(address, 200));
    await connect(rowsOf(16));
    const { lamps, ms } = read(16);
    expect(lamps).toEqual(new Array(16).fill(200));
    expect(ms).toBe(1000);
  });

  it('ends in time for continuous evidence whichever of them are silent, also in a test of 2 s steps', async () => {
    for (let silent = 0; silent <= 16; silent++) {
      script = (address) => (address <= silent ? [] : later(BusTime.Answer - 1, answer(address, 200)));
      await connect(rowsOf(16));
      let wasMissed = false;
      for (let i = 0; i < 8; i++) {
        const { lamps, ms } = read(16);
        // After a miss the core asks again at once.
        const pauseMs = wasMissed ? Limit.SampleFastMs : Limit.SampleSlowMs;
        expect(ms + pauseMs, `${silent} silent`).toBeLessThanOrEqual(Limit.SampleGapMs);
        wasMissed = i < 3 && lamps.some((ma) => ma < 0);
        clock.tick(wasMissed ? Limit.SampleFastMs : Limit.SampleSlowMs);
      }
    }
  });
});

describe('an answer', () => {
  it('that is late is no reading, and does not disturb the next module', async () => {
    script = (address) => (address === 1 ? later(BusTime.Answer + 60, answer(1, 101)) : well(address));
    await connect(rowsOf(3));
    expect(readTimes(2, 3)).toEqual([SLOW, 102, 103]);
  });

  it('that comes in the exchange of another module tells of a slow one', async () => {
    script = (address) =>
      address === 1
        ? later(BusTime.Answer + 20, answer(1, 101))
        : address === 2
          ? later(60, answer(2, 102))
          : well(address);
    await connect(rowsOf(2));
    expect(read(2).lamps).toEqual([SLOW, 102]);
  });

  it('that comes a second time in the exchange of another module tells of a clash', async () => {
    script = (address) =>
      address === 1 ? [...well(1), ...later(50, answer(1, 55))] : later(60, answer(2, 102));
    await connect(rowsOf(2));
    expect(read(2).lamps).toEqual([CLASH, 102]);
  });

  it('is taken from behind a late one that a long turn hands over together with it', async () => {
    script = (address) =>
      address === 1 ? [] : later(60, address === 2 ? [...answer(1, 101), ...answer(2, 102)] : answer(3, 103));
    await connect(rowsOf(3));
    expect(read(3).lamps).toEqual([SLOW, 102, 103]);
    expect(asked.filter(({ address }) => address === 2)).toHaveLength(1);
  });

  it('may come in pieces', async () => {
    script = (address) => {
      const bytes = answer(address, 300);
      return bytes.map((byte, i) => ({ afterMs: 20 + i, bytes: [byte] }));
    };
    await connect(rowsOf(2));
    expect(read(2).lamps).toEqual([300, 300]);
  });

  it('with a wrong CRC is garbled, and a clash once only its end is wrong four times in a row', async () => {
    script = (address) => later(26, [...answer(address, 200).slice(0, 5), 1, 2]);
    await connect(rowsOf(1));
    expect(read(1).lamps).toEqual([GARBLED]);
    clock.tick(Limit.LoopMs);
    expect(read(1).lamps).toEqual([CLASH]);
  });

  it('of a module that was damaged at its beginning is garbled however often', async () => {
    script = (address) => later(26, [255, ...answer(address, 200).slice(1)]);
    await connect(rowsOf(1));
    expect(readTimes(5, 1)).toEqual([GARBLED]);
  });

  it('that is late is never taken for that of another register of the same module', async () => {
    script = (address) => later(BusTime.Answer + 20, answer(address, 200));
    await connect([9, 0, 1, 9, 1, 1]);
    // The second try of the first register meets the answer to the first try.
    expect(readTimes(3, 2)).toEqual([200, SLOW]);
  });
});

describe('a module that has been silent for longer than evidence may be missing', () => {
  it('is left out, and asked again in the next test', async () => {
    script = (address) => (address === 1 ? [] : well(address));
    await connect(rowsOf(2));
    for (let i = 0; i < 30; i++) readTimes(1, 2);
    asked = [];
    expect(read(2).lamps).toEqual([SILENT, 102]);
    expect(asked.map(({ address }) => address)).toEqual([2]);
    clock.tick(60_000);
    script = well;
    expect(read(2).lamps).toEqual([101, 102]);
  });
});
