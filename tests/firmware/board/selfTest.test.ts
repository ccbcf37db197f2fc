// The board's self-tests over models of its flash, memory, stack and converter.
import Module from 'node:module';
import { afterAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { SelfTest } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { type Inputs, newInputs, Read } from '../../../firmware/core/inputs';
import { programSum } from '../../../host/flash/configuration';
import { sha256 } from '../../../simulator/digest';

interface SelfTests {
  setUpSelfTest(programSum: string, lamps: (inputs: Inputs) => Read): void;
  boardSelfTest(inputs: Inputs, lampCount: number): SelfTest;
}

const LAMPS = 4;
/** A day at one slice a minute. */
const DAY = 1440;
/** As long as the real program is, and not a whole number of slices. */
const PROGRAM = Array.from({ length: 47_461 }, (_, i) => String.fromCharCode(32 + ((i * 7919) % 95))).join(
  '',
);

let flash: string | undefined;
let readings: number[];
/** The modules of a bus are being read. */
let isReading = false;
let memory: { [address: number]: number };
let stackEndAddress: number | undefined;

/** The loader behind `require`, which knows no module of that name. */
const loader = Module as unknown as { _load(name: string, ...rest: unknown[]): unknown };
const load = loader._load;
const storage = {
  read: (name: string, offset: number, length: number) =>
    name === '.bootcde' ? flash?.slice(offset, offset + length) : undefined,
};
loader._load = (name, ...rest) => (name === 'Storage' ? storage : load(name, ...rest));
const names = globalThis as unknown as { [name: string]: unknown };
names.peek32 = (address: number) => memory[address];
names.poke32 = (address: number, value: number) => {
  memory[address] = value;
};
(process as unknown as { memory: unknown }).memory = () => ({ stackEndAddress });
afterAll(() => {
  loader._load = load;
  delete (process as unknown as { memory: unknown }).memory;
  delete names.peek32;
  delete names.poke32;
});

/** Freshly loaded, as after a start. */
async function started(sum = programSum(PROGRAM)): Promise<SelfTests> {
  vi.resetModules();
  const file = (name: string) => new URL(`../../../firmware/board/${name}.ts`, import.meta.url).href;
  vi.doMock('../../../firmware/board/system', () => ({ boardSha256: sha256 }));
  const tests = (await import(file('selfTest'))) as SelfTests;
  tests.setUpSelfTest(sum, (inputs) => {
    if (isReading) return Read.NotYet;
    inputs.lamp.set(readings);
    return Read.All;
  });
  return tests;
}

/** The first finding within so many slices. */
function found(tests: SelfTests, slices: number): SelfTest {
  const inputs = newInputs();
  for (let i = 0; i < slices; i++) {
    const one = tests.boardSelfTest(inputs, LAMPS);
    if (one !== SelfTest.None) return one;
  }
  return SelfTest.None;
}

beforeEach(() => {
  flash = PROGRAM;
  readings = [0, 300, 300, 0];
  isReading = false;
  memory = {};
  stackEndAddress = 0x2001_8000;
});

describe('self-tests', () => {
  it('find nothing in a sound board for days, nor without a checksum to compare with', async () => {
    expect(found(await started(), 3 * DAY)).toBe(SelfTest.None);
    flash = undefined;
    expect(found(await started(''), DAY)).toBe(SelfTest.None);
    // As the upload tool stores it.
    flash = `\n${PROGRAM}`;
    expect(found(await started(), 3 * DAY)).toBe(SelfTest.None);
  });

  it.each([0, 1, 511, 512, 30_000, PROGRAM.length - 1])(
    'find a bit of the program that has flipped, at byte %i, within a day',
    async (at) => {
      const tests = await started();
      expect(found(tests, 700)).toBe(SelfTest.None);
      const wrong = String.fromCharCode(PROGRAM.charCodeAt(at) ^ 4);
      flash = PROGRAM.slice(0, at) + wrong + PROGRAM.slice(at + 1);
      expect(found(tests, DAY)).toBe(SelfTest.Program);
    },
  );

  it('find a program that is missing, shorter, longer, or another one', async () => {
    for (const other of [
      undefined,
      '',
      PROGRAM.slice(0, -1),
      `${PROGRAM} `,
      PROGRAM.slice(0, 512),
      'print(1)',
    ]) {
      flash = other;
      expect(found(await started(), DAY)).toBe(SelfTest.Program);
    }
  });

  it('find the same with a program of a whole number of slices', async () => {
    flash = PROGRAM.slice(0, 4 * Limit.ProgramSliceBytes);
    expect(found(await started(programSum(flash)), DAY)).toBe(SelfTest.None);
    const tests = await started(programSum(flash));
    flash = `${flash.slice(0, -1)}\0`;
    expect(found(tests, DAY)).toBe(SelfTest.Program);
  });

  it('find every lamp sensor beyond its range, but not one of them, nor a circuit of one', async () => {
    readings = [Limit.RailHigh, Limit.RailLow, Limit.RailHigh, Limit.RailHigh];
    expect(found(await started(), 10)).toBe(SelfTest.Converter);
    readings = [Limit.RailHigh, Limit.RailLow, Limit.RailHigh, 0];
    expect(found(await started(), DAY)).toBe(SelfTest.None);
    readings = [Limit.RailHigh];
    const { boardSelfTest } = await started();
    for (let i = 0; i < 10; i++) expect(boardSelfTest(newInputs(), 1)).toBe(SelfTest.None);
  });

  it('judge no reading of a bus that is not there yet', async () => {
    isReading = true;
    readings = new Array(LAMPS).fill(Limit.RailHigh);
    const tests = await started();
    const inputs = newInputs();
    inputs.lamp.fill(Limit.RailHigh);
    for (let i = 0; i < 10; i++) expect(tests.boardSelfTest(inputs, LAMPS)).toBe(SelfTest.None);
    isReading = false;
    expect(found(tests, 10)).toBe(SelfTest.Converter);
  });

  it('find a stack that has reached its last kilobyte, where the build says where it ends', async () => {
    const tests = await started();
    expect(found(tests, 10)).toBe(SelfTest.None);
    memory[0x2001_8000 + 1024] = 0;
    expect(found(tests, 1)).toBe(SelfTest.Stack);
    stackEndAddress = undefined;
    expect(found(await started(), 10)).toBe(SelfTest.None);
  });

  it('find memory with a stuck bit, and memory whose cells are not apart', async () => {
    const Sound = globalThis.Uint8Array;
    const faulty = (set: (cells: Uint8Array, at: number, value: number) => void) => {
      function Faulty(this: object, size: number): object {
        return new Proxy(new Sound(size), {
          get: (target, at) => target[at as unknown as number],
          set: (target, at, value) => {
            set(target, Number(at), value);
            return true;
          },
        });
      }
      globalThis.Uint8Array = Faulty as unknown as typeof Uint8Array;
    };
    for (const set of [
      (cells: Uint8Array, at: number, value: number) => {
        cells[at] = at === 37 ? value | 8 : value;
      },
      (cells: Uint8Array, at: number, value: number) => {
        cells[at] = value;
        if (at === 3) cells[4] = value;
      },
    ]) {
      faulty(set);
      const tests = await started().finally(() => {
        globalThis.Uint8Array = Sound;
      });
      expect(found(tests, DAY)).toBe(SelfTest.Memory);
    }
  });
});
