// The driver of the clock chip against a model of its registers and its bus.
import fc from 'fast-check';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import type { ClockChipPort } from '../../../../firmware/board/clockChip/port';
import { ClockChipModel, registersOf } from '../../../support/clockChip';
import { runs } from '../../../support/depth';

/** Loaded by a path the compiler does not follow: the interpreter's types clash with Node's. */
const file = new URL('../../../../firmware/board/clockChip/bcd.ts', import.meta.url).href;
const { setUpClockChip, chipTime, setChipTime } = (await import(file)) as ClockChipPort<object>;
const GLOBALS = ['Pin', 'digitalRead', 'digitalWrite', 'I2C'];
const WIRING = { driver: 'bcd', sda: 'D', scl: 'C' };

const utc = (text: string): number => Date.parse(`${text}Z`) / 1000;
const NOON = utc('2026-11-28T12:00:00');

let chip: ClockChipModel;
let options: { bitrate?: number } = {};

beforeEach(() => {
  chip = new ClockChipModel();
  let clock = 1;
  Object.assign(globalThis, {
    Pin: function Pin(this: { name: string }, name: string) {
      this.name = name;
    },
    digitalRead: (pin: { name: string }) => (pin.name === 'D' ? chip.data() : chip.isClockHeld ? 0 : 1),
    digitalWrite: (pin: { name: string }, level: number) => {
      if (pin.name === 'C' && level && !clock) chip.clocked();
      clock = level;
    },
    I2C: function I2C(this: object) {
      Object.assign(this, {
        setup: (given: object) => {
          options = given;
        },
        readReg: (address: number, register: number, count: number) =>
          address === 0x68 ? chip.read(register, count) : new Uint8Array(count).fill(255),
        writeTo: (address: number, ...bytes: (number | Uint8Array)[]) => {
          const flat = bytes.flatMap((one) => (typeof one === 'number' ? [one] : [...one]));
          if (address === 0x68) chip.write(flat[0], flat.slice(1));
        },
      });
    },
  });
  setUpClockChip(WIRING);
});

afterAll(() => {
  for (const name of GLOBALS) delete (globalThis as { [name: string]: unknown })[name];
});

/** A chip that was set to noon and has run on by itself to `at`. */
function running(at = NOON): void {
  expect(setChipTime(NOON)).toBe(1);
  chip.utcSec = at;
}

describe('a clock chip', () => {
  it('gives no time as delivered, and the right one once it has been set', () => {
    expect(chipTime()).toBe(0);
    expect(setChipTime(NOON)).toBe(1);
    expect(options.bitrate).toBe(100_000);
    expect([chip.utcSec, chip.status & 0x80, chip.control & 0x80]).toEqual([NOON, 0, 0]);
    chip.utcSec += 3600;
    expect(chipTime()).toBe(NOON + 3600);
  });

  it('is told from none fitted', () => {
    setUpClockChip(undefined);
    expect([chipTime(), setChipTime(NOON)]).toEqual([-1, 0]);
  });

  it('is written and read right for every second of the century', () => {
    const from = utc('2000-01-01T00:00:00');
    const to = utc('2099-12-31T23:59:58');
    const edges = [
      '2000-02-29T23:59:59',
      '2024-02-29T12:00:00',
      '2099-12-31T23:59:58',
      '2028-03-01T00:00:00',
    ];
    const property = fc.property(fc.integer({ min: from, max: to }), (at) => {
      expect(setChipTime(at)).toBe(1);
      expect(registersOf(chip.utcSec)).toEqual(registersOf(at));
      expect(chipTime()).toBe(at);
    });
    fc.assert(property, {
      numRuns: runs(2000),
      examples: [[from], ...edges.map((text): [number] => [utc(text)])],
    });
  });

  it('gives no time when its oscillator has stopped', () => {
    running();
    chip.status |= 0x80;
    expect(chipTime()).toBe(0);
  });

  it.each([
    ['a digit above nine', 0, 0x5a],
    ['seconds above 59', 0, 0x60],
    ['minutes above 59', 1, 0x75],
    ['12-hour mode', 2, 0x52],
    ['hour 24', 2, 0x24],
    ['another day of the week', 3, 2],
    ['day 0', 4, 0],
    ['day 31 of a month with 30', 4, 0x31],
    ['month 0', 5, 0],
    ['month 13', 5, 0x13],
    ['the century flag', 5, 0x91],
    ['a year that is no number', 6, 0xff],
  ])('gives no time with %s', (_what, register, byte) => {
    running();
    chip.forced[register] = byte;
    expect(chipTime()).toBe(0);
  });

  it('gives no time for 29 February of a year without one', () => {
    running(utc('2027-02-28T12:00:00'));
    Object.assign(chip.forced, { 3: ((chip.utcSec / 86_400 - 10_956) | 0) % 7, 4: 0x29 });
    for (let day = 1; day <= 7; day++) {
      chip.forced[3] = day;
      expect(chipTime()).toBe(0);
    }
  });

  it('gives no time from bytes at random: hardly ever a time, and then not twice', () => {
    running();
    let seed = 1;
    chip.beforeByte = () => {
      for (let n = 0; n < 7; n++) {
        seed = (seed * 1_103_515_245 + 12_345) % 2_147_483_648;
        chip.forced[n] = (seed >> 16) & 255;
      }
    };
    for (let i = 0; i < 2000; i++) expect(chipTime()).toBe(0);
  });

  it('gives no time, or the right one, when seconds pass between the bytes of a reading', () => {
    for (let phase = 0; phase < 16; phase++) {
      running(utc('2026-12-31T23:59:58'));
      let bytes = phase;
      chip.beforeByte = () => {
        if (bytes++ % 5 === 4) chip.utcSec++;
      };
      const before = chip.utcSec;
      const got = chipTime();
      chip.beforeByte = undefined;
      if (got !== 0) expect(got).toBeGreaterThanOrEqual(before);
      if (got !== 0) expect(got).toBeLessThanOrEqual(chip.utcSec);
    }
  });

  it('gives no time when it is missing, and cannot be set', () => {
    chip.isAbsent = true;
    expect([chipTime(), setChipTime(NOON)]).toEqual([0, 0]);
  });

  it('is not even addressed while the clock line is held low: every bit would be waited for', () => {
    running();
    chip.isClockHeld = true;
    const before = chip.transfers;
    expect([chipTime(), setChipTime(NOON), chip.transfers - before]).toEqual([0, 0, 0]);
  });

  it('is freed by clocks when a reset cut short a byte that it was sending', () => {
    running();
    chip.heldFor = 8;
    expect(chipTime()).toBe(NOON);
    chip.heldFor = Number.POSITIVE_INFINITY;
    const before = chip.transfers;
    expect([chipTime(), chip.transfers - before]).toEqual([0, 0]);
  });

  it('gives no time when the bus throws in the middle', () => {
    running();
    chip.beforeByte = () => {
      throw new Error('I2C Error: Timeout (rd)');
    };
    expect([chipTime(), setChipTime(NOON)]).toEqual([0, 0]);
  });

  it('gives the old time, the new one or none when the power fails at any byte of setting it', () => {
    const old = utc('2026-12-31T23:59:30');
    for (let bytes = 0; bytes <= 11; bytes++) {
      running(old);
      chip.bytesUntilCut = bytes;
      setChipTime(old + 86_400 * 40 + 3723);
      chip.bytesUntilCut = Number.POSITIVE_INFINITY;
      expect([0, old, old + 86_400 * 40 + 3723]).toContain(chipTime());
      expect(setChipTime(NOON)).toBe(1);
    }
  });
});
