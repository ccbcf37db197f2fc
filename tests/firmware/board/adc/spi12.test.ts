// The driver of the SPI converters against a model of the chip that counts clocks, through the same
// arithmetic as any other converter: the analogue way of sensing is loaded with this driver in place of the usual one.
import { afterAll, beforeEach, describe, expect, it, vi } from 'vitest';
import type { Wiring } from '../../../../firmware/board/config';
import { Limit } from '../../../../firmware/contract/limits';
import { newInputs } from '../../../../firmware/core/inputs';
import { boardFile, type LampsDriver, WIRING } from '../../../support/lampsDriver';
import { SpiBus, SpiConverter } from '../../../support/spiConverter';

interface Driver {
  setUpAdc(wiring: object): void;
  selectLamp(lamp: number): void;
  readLamp(): number;
}
const driver = (await import(boardFile('adc/spi12'))) as Driver;
vi.doMock(boardFile('adc/chosen'), () => driver);
vi.doMock('../../../../firmware/board/adc/chosen', () => driver);
const { setUpLamps, readLamps } = (await import(boardFile('lamps/analogue'))) as LampsDriver;

const ADC = { driver: 'spi12', sck: 'K', miso: 'I', mosi: 'O', cs: ['X', 'Y'] };
const GLOBALS = ['Pin', 'pinMode', 'digitalWrite', 'getTime', 'SPI'];

/** Current in mA at each of the 16 inputs. */
let current: (lamp: number, sec: number) => number;
let now = 0;
let bus: SpiBus;
let setUp: { [option: string]: unknown } | undefined;

const share = (lamp: number) => 0.5 + current(lamp, now) / 4096;

beforeEach(() => {
  now = 100;
  setUp = undefined;
  bus = new SpiBus({
    X: new SpiConverter((channel) => share(channel)),
    Y: new SpiConverter((channel) => share(8 + channel)),
  });
  const port = {
    setup: (options: { [option: string]: unknown }) => {
      setUp = options;
    },
    send: (byte: number) => {
      now += 0.00025;
      return bus.send(byte);
    },
  };
  Object.assign(globalThis, {
    Pin: function Pin(this: { name: string }, name: string) {
      this.name = name;
    },
    pinMode: () => undefined,
    digitalWrite: (pin: { name: string }, level: number) => bus.write(pin.name, level),
    getTime: () => now,
    SPI: { find: (pin: { name: string }) => (pin.name === 'K' ? port : undefined) },
  });
});
afterAll(() => {
  for (const name of GLOBALS) Reflect.deleteProperty(globalThis, name);
  vi.doUnmock('../../../../firmware/board/adc/chosen');
});

function lamps(count: number, wiring: Partial<Wiring> = {}): number[] {
  const inputs = newInputs();
  setUpLamps(ADC, { ...WIRING, ...wiring });
  readLamps(inputs, count, 0);
  return Array.from(inputs.lamp.slice(0, count));
}

describe('two SPI converters', () => {
  it('give each of 16 lamps its own current, eight at each converter', () => {
    current = (lamp) => 100 * lamp - 700;
    expect(lamps(16)).toEqual(Array.from({ length: 16 }, (_, lamp) => 100 * lamp - 700));
    // Four conversions of three bytes for each lamp.
    expect(bus.count).toBe(16 * 4 * 3);
  });

  it('resolve a single step of 4,096', () => {
    current = (lamp) => lamp - 2;
    expect(lamps(5)).toEqual([-2, -1, 0, 1, 2]);
  });

  it('report an input at either end of the range as the rail', () => {
    current = (lamp) => (lamp === 0 ? 5000 : -5000);
    expect(lamps(2)).toEqual([Limit.RailHigh, Limit.RailLow]);
  });

  it('report the rail where no converter drives the data line', () => {
    current = () => 0;
    bus = new SpiBus({});
    expect(lamps(1)).toEqual([Limit.RailHigh]);
  });

  it('give the root mean square of an alternating current where the wiring says so', () => {
    current = (_, sec) => 200 * Math.SQRT2 * Math.sin(2 * Math.PI * 50 * sec);
    const [lamp] = lamps(1, { rms: 1 });
    expect(Math.abs(lamp - 200) / 200).toBeLessThan(0.06);
  });

  it('run at the 1 MHz that a supply of 3.3 V allows, on the pins of the wiring', () => {
    driver.setUpAdc(ADC);
    expect(setUp).toMatchObject({
      sck: { name: 'K' },
      miso: { name: 'I' },
      mosi: { name: 'O' },
      baud: 1_000_000,
    });
  });

  it('stop the program at start-up when the pins belong to no SPI port', () => {
    expect(() => driver.setUpAdc({ ...ADC, sck: 'Q' })).toThrow('No SPI at Q');
  });
});
