// The simulated bus against the real driver on a scripted line: the same modules at fault must give the same
// readings, after no less time.
import sinon from 'sinon';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { exchangeMs, silenceMs } from '../../../firmware/board/lamps/timing';
import { Limit } from '../../../firmware/contract/limits';
import { type Inputs, newInputs, Read } from '../../../firmware/core/inputs';
import { LampBus, REACTION_MS } from '../../../simulator/plant/bus';
import { newCircuitPlant } from '../../../simulator/plant/circuit';
import { plantLuminaireFault } from '../../../simulator/plant/luminaire';
import type { ModuleState } from '../../../simulator/plant/luminaireFaults';
import { newRandom } from '../../../simulator/random';
import { busFrame } from '../../support/busFrame';

interface Driver {
  setUpLamps(wiring: object, pins: object): void;
  readLamps(inputs: Inputs, count: number, since: number): Read;
}
const DRIVER = new URL('../../../firmware/board/lamps/modbus.ts', import.meta.url).href;
const COUNT = 16;
const BAUD = 9600;
const START = 1_000_000;
const SOUND_MS = Math.round(exchangeMs(BAUD, REACTION_MS) - silenceMs(BAUD));

/** What is wrong with some of the modules, by lamp. */
type Faults = { [lamp: number]: ModuleState };
/** Currents of one reading, and how long it took, ms. */
type Reading = { lamps: number[]; ms: number };

let clock: sinon.SinonFakeTimers;

beforeEach(() => {
  clock = sinon.useFakeTimers({ now: START, toFake: ['setTimeout', 'clearTimeout', 'Date'] });
});
afterEach(() => {
  clock.restore();
  for (const name of ['Serial2', 'Pin', 'getTime']) Reflect.deleteProperty(globalThis, name);
});

/** Takes readings as a discharge does, one after the other. */
function take(times: number, read: (into: Inputs, since: number) => Read): Reading[] {
  return Array.from({ length: times }, () => {
    const inputs = newInputs();
    const began = Date.now();
    while (read(inputs, began - START) === Read.NotYet) clock.tick(Limit.LoopMs);
    const reading = { lamps: Array.from(inputs.lamp.slice(0, COUNT)), ms: Date.now() - began };
    clock.tick(Limit.SampleFastMs);
    return reading;
  });
}

/** What a module at this address sends, and when, ms after the request began. */
function answerOf(address: number, faults: Faults): { afterMs: number; bytes: number[] } | undefined {
  const fault = faults[address - 1];
  const bytes = busFrame([address, 4, 2, 0, 99 + address]);
  if (fault?.kind === 'module silent') return undefined;
  if (fault?.kind === 'module slow') return { afterMs: fault.lateMs, bytes };
  // Two answers at once: their beginnings agree, their currents and sums do not.
  if (fault?.kind === 'module clash')
    return { afterMs: SOUND_MS, bytes: [...bytes.slice(0, 4), 0, bytes[5] & 0x5a, bytes[6] & 0xa5] };
  return { afterMs: SOUND_MS, bytes };
}

async function byDriver(faults: Faults, times: number): Promise<Reading[]> {
  let heard: (bytes: string) => void = () => {};
  const Serial2 = {
    setup: () => {},
    write: (text: string) => {
      const answer = answerOf(text.charCodeAt(0), faults);
      if (answer) clock.setTimeout(() => heard(String.fromCharCode(...answer.bytes)), answer.afterMs);
    },
    on: (_event: string, callback: (bytes: string) => void) => {
      heard = callback;
    },
  };
  Object.assign(globalThis, { Serial2, Pin: class {}, getTime: () => Date.now() / 1000 });
  vi.resetModules();
  const driver = (await import(DRIVER)) as Driver;
  const rows = Array.from({ length: COUNT }, (_, i) => [i + 1, 0, 1]).flat();
  const wiring = { driver: 'modbus', port: 'Serial2', tx: 'T', rx: 'R', baud: BAUD, parity: 'even', code: 4 };
  driver.setUpLamps({ ...wiring, rows }, {});
  return take(times, (into, since) => driver.readLamps(into, COUNT, since));
}

function bySimulation(faults: Faults, times: number): Reading[] {
  const lamps = Array.from({ length: COUNT }, (_, i) => ({
    ...{ id: `l${i}`, mode: 1 as const, ratedSec: 3600, batteryMilliamps: 200, mainsMilliamps: 100 + i },
    ...{ chemistry: 'NiCd' as const, margin: 1.4 },
  }));
  const plant = newCircuitPlant('c1', lamps, 1);
  for (const [lamp, fault] of Object.entries(faults))
    plantLuminaireFault(plant.luminaires[Number(lamp)], { from: 0, to: Number.POSITIVE_INFINITY, ...fault });
  const bus = new LampBus({ baud: BAUD }, plant, newRandom(1));
  return take(times, (into, since) => {
    const now = Date.now() - START;
    return bus.read(into.lamp, COUNT, since, now, now, false);
  });
}

const SILENT: ModuleState = { kind: 'module silent' };
const CLASH: ModuleState = { kind: 'module clash' };
const slow = (lateMs: number): ModuleState => ({ kind: 'module slow', lateMs });
const all = (fault: ModuleState): Faults =>
  Object.fromEntries(Array.from({ length: COUNT }, (_, i) => [i, fault]));

describe('the simulated bus reads as the driver does', () => {
  it.each<[string, Faults]>([
    ['sound modules', {}],
    ['a silent one', { 4: SILENT }],
    ['three silent ones', { 0: SILENT, 7: SILENT, 15: SILENT }],
    ['none that answers', all(SILENT)],
    ['a slow one', { 4: slow(220) }],
    ['one that is just in time', { 4: slow(140) }],
    ['all of them just in time', all(slow(140))],
    ['two at one address', { 9: CLASH }],
    ['several faults', { 1: SILENT, 5: slow(200), 11: CLASH }],
  ])('%s', async (_, faults) => {
    // Long enough for a module to be given up.
    const times = 9;
    const driver = await byDriver(faults, times);
    const simulated = bySimulation(faults, times);
    for (let i = 0; i < times; i++) {
      const lost = ({ lamps }: Reading) => lamps.map((ma) => ma <= Limit.UnheardLast);
      expect(lost(simulated[i]), `reading ${i}`).toEqual(lost(driver[i]));
      expect(simulated[i].ms, `time of reading ${i}`).toBeGreaterThanOrEqual(driver[i].ms);
    }
    expect(simulated.at(-1)?.lamps).toEqual(driver.at(-1)?.lamps);
  });
});
