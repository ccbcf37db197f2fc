// The analogue sensors and the other inputs on fakes of the interpreter's functions, which cannot run here. Every conversion takes
// time, so each burst meets the wave at another phase.
import sinon from 'sinon';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Wiring } from '../../../../firmware/board/config';
import { Limit } from '../../../../firmware/contract/limits';
import { type Inputs, newInputs } from '../../../../firmware/core/inputs';
import { newRandom, next32 } from '../../../../simulator/random';
import { boardFile, type LampsDriver, WIRING } from '../../../support/lampsDriver';

interface Senses {
  setUpSenses(wiring: Wiring): void;
  readInputs(inputs: Inputs): void;
}
const { setUpSenses, readInputs } = (await import(boardFile('senses'))) as Senses;
const { setUpLamps, readLamps } = (await import(boardFile('lamps/analogue'))) as LampsDriver;

/**
 * Seconds that one reading and its arithmetic take: about 0.8 ms at 84 MHz, a third of that on faster boards.
 */
const SLOW_SEC = 0.0008;
const FAST_SEC = 0.00025;

/** Current in mA at the multiplexer's output, for the channel selected and the time, s. */
type Wave = (channel: number, sec: number) => number;

let now = 0;
let channel = 0;
let wave: Wave = () => 0;
let readingSec = SLOW_SEC;
let chargeShare = 0;
let random = newRandom(7);
const modes: string[] = [];

/** A duration with the jitter of an interpreter, some microseconds either way. */
function uneven(sec: number): number {
  return sec + ((next32(random) / 4294967296) * 2 - 1) * 0.00006;
}

beforeEach(() => {
  now = 100;
  random = newRandom(7);
  readingSec = SLOW_SEC;
  modes.length = 0;
  Object.assign(globalThis, {
    Pin: function Pin(this: { name: string }, name: string) {
      this.name = name;
    },
    pinMode: sinon.fake((pin: { name: string }, mode: string) => modes.push(`${pin.name} ${mode}`)),
    digitalWrite: sinon.fake((pins: unknown, value: number) => {
      if (Array.isArray(pins)) channel = value;
    }),
    digitalRead: sinon.fake((pin: { name: string }) => (pin.name === 'A' ? 1 : 0)),
    // Plain functions instead of spies where there are many calls that nobody checks.
    analogRead: (pin: { name: string }) => {
      if (pin.name === 'C') return chargeShare;
      now += uneven(readingSec);
      return Math.min(1, Math.max(0, 0.5 + wave(channel, now) / 4096));
    },
    getTime: () => now,
  });
});
afterEach(() => {
  for (const name of ['Pin', 'pinMode', 'digitalWrite', 'digitalRead', 'analogRead', 'getTime'])
    Reflect.deleteProperty(globalThis, name);
  sinon.restore();
});

/** Readings of the first `count` lamps. */
function lamps(count: number, wiring: Partial<Wiring> = {}): number[] {
  const inputs = newInputs();
  const adc = { driver: 'internal' as const, select: ['S3', 'S2', 'S1', 'S0'], lamp: 'M' };
  setUpLamps(adc, { ...WIRING, ...wiring });
  expect(readLamps(inputs, count, 0)).toBe(1);
  return Array.from(inputs.lamp.slice(0, count));
}

/** Root mean square readings of a sine of 200 mA, in many bursts at different phases. */
function rmsOf(hertz: number, bursts = 150): number[] {
  const amplitude = 200 * Math.SQRT2;
  wave = (_, sec) => amplitude * Math.sin(2 * Math.PI * hertz * sec);
  return Array.from({ length: bursts }, () => {
    now += 0.2437 + next32(random) / 4294967296 / 50;
    return lamps(1, { rms: 1 })[0];
  });
}

const mean = (values: number[]): number => values.reduce((sum, x) => sum + x, 0) / values.length;
const worst = (values: number[]): number => Math.max(...values.map((x) => Math.abs(x - 200) / 200));

describe('a steady current', () => {
  it('is the mean of a burst of its own channel', () => {
    wave = (i, sec) => 100 * i + (Math.floor(sec * 1e6) % 2 === 0 ? 0.4 : -0.4);
    expect(lamps(4)).toEqual([0, 100, 200, 300]);
  });

  it('at either end of the range is reported as the rail', () => {
    wave = (i) => (i === 0 ? 5000 : -5000);
    expect(lamps(2)).toEqual([Limit.RailHigh, Limit.RailLow]);
  });
});

describe('an alternating current', () => {
  it.each([
    [50, SLOW_SEC, 0.06],
    [50, FAST_SEC, 0.03],
    [60, SLOW_SEC, 0.12],
    [60, FAST_SEC, 0.12],
  ])('of %i Hz at %f s a reading is its root mean square within a share of %f', (hertz, sec, bound) => {
    readingSec = sec;
    expect(worst(rmsOf(hertz))).toBeLessThanOrEqual(bound);
  });

  it.each([2_300, 25_000, 41_000])(
    'of %i Hz is right on average at any phase, and a third off at worst',
    (hertz) => {
      const slow = rmsOf(hertz);
      expect(Math.abs(mean(slow) - 200) / 200).toBeLessThanOrEqual(0.03);
      expect(worst(slow)).toBeLessThanOrEqual(0.4);
      readingSec = FAST_SEC;
      expect(worst(rmsOf(hertz))).toBeLessThanOrEqual(0.3);
    },
  );

  it('is read that way only where the configuration says so', () => {
    wave = () => -150;
    expect(lamps(3, { rms: 0b010 })).toEqual([-150, 150, -150]);
  });

  it('from an open or saturated input is reported as the rail', () => {
    wave = () => -5000;
    expect(lamps(1, { rms: 1 })).toEqual([Limit.RailHigh]);
    wave = () => 5000;
    expect(lamps(1, { rms: 1 })).toEqual([Limit.RailHigh]);
  });

  it('ends even when the clock stops', () => {
    readingSec = 0;
    wave = () => 100;
    sinon.replace(globalThis as unknown as { getTime: () => number }, 'getTime', sinon.fake.returns(5));
    expect(lamps(1, { rms: 1 })).toEqual([100]);
  });
});

describe('the charging current', () => {
  it('is read with the other inputs where fitted, otherwise it is 0', () => {
    chargeShare = 0.25;
    const inputs = newInputs();
    setUpSenses(WIRING);
    readInputs(inputs);
    expect([inputs.charge, inputs.supplyA, inputs.supplyB]).toEqual([0, 1, 0]);
    setUpSenses({ ...WIRING, charge: 'C', chargeSpanMilliamps: 2000 });
    readInputs(inputs);
    expect(inputs.charge).toBe(500);
    expect(modes).toContain('C analog');
  });
});
