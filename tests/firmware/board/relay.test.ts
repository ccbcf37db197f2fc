// The coil's outputs on simulated pins: what the pulse detector and the enable gate receive.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Ending } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';

interface Relay {
  setUpRelay(name: string, enableName: string): void;
  drive(open: number, until: number, ending: Ending): void;
  pulse(now: number): void;
}
/** Loaded by a path the compiler does not follow: the interpreter's types clash with Node's. */
const FILE = new URL('../../../firmware/board/relay.ts', import.meta.url).href;
const { setUpRelay, drive, pulse } = (await import(FILE)) as Relay;

const levels: { [pin: string]: number } = {};
let edges = 0;

class FakePin {
  constructor(readonly name: string) {}
}

beforeEach(() => {
  vi.stubGlobal('Pin', FakePin);
  vi.stubGlobal('pinMode', () => {});
  vi.stubGlobal('digitalWrite', (pin: FakePin, value: number) => {
    if (pin.name === 'relay' && levels.relay !== value) edges++;
    levels[pin.name] = value;
  });
  setUpRelay('relay', 'enable');
  drive(0, 0, Ending.All);
  edges = 0;
});
afterEach(() => vi.unstubAllGlobals());

/** Turns of the loop from `from` to `to`, ms, with the request unchanged. */
function turns(from: number, to: number): void {
  for (let now = from; now < to; now += Limit.LoopMs) pulse(now);
}

it('makes one edge a turn while the coil is requested, and none before', () => {
  turns(0, 1000);
  expect([edges, levels.enable]).toEqual([0, 0]);
  drive(1, 10_000, Ending.All);
  turns(1000, 2000);
  expect([edges, levels.enable]).toEqual([4, 1]);
});

it('releases both outputs in the very call that ends the request', () => {
  drive(1, 10_000, Ending.All);
  pulse(0);
  expect(levels).toEqual({ relay: 1, enable: 1 });
  drive(0, 0, Ending.All);
  expect(levels).toEqual({ relay: 0, enable: 0 });
});

it('releases when the lease has expired, and holds again only with a new edge', () => {
  drive(1, 1000, Ending.All);
  turns(0, 1250);
  expect(levels.enable).toBe(1);
  pulse(1250);
  expect(levels).toEqual({ relay: 0, enable: 0 });
  edges = 0;
  turns(1500, 3000);
  expect(edges).toBe(0);
});

it('limits the longest opening itself, whatever the lease says', () => {
  drive(1, 1e9, Ending.All);
  turns(0, Limit.OpenCapSec * 1000 + 1);
  expect(levels.enable).toBe(1);
  pulse(Limit.OpenCapSec * 1000 + 250);
  expect(levels).toEqual({ relay: 0, enable: 0 });
});

describe('a guard on trial', () => {
  /** The coil held, with the pin high or low, then released by one guard from 1000 ms on. */
  function released(by: Ending, isHigh: boolean): void {
    drive(1, 10_000, Ending.All);
    turns(0, isHigh ? 750 : 1000);
    edges = 0;
    drive(0, 2000, by);
  }

  it.each([
    ['low', Ending.StopsLow, 0],
    ['high', Ending.StopsHigh, 1],
  ])('is the pulse detector while the pin stays %s and enable high', (_word, by, relay) => {
    for (const isHigh of [true, false]) {
      released(by, isHigh);
      expect(levels).toEqual({ relay, enable: 1 });
      const before = edges;
      drive(0, 2000, by);
      turns(1000, 2001);
      expect([edges, levels]).toEqual([before, { relay, enable: 1 }]);
      pulse(2250);
      expect(levels).toEqual({ relay: 0, enable: 0 });
    }
  });

  it('is enable while the pulses go on', () => {
    released(Ending.Enable, true);
    expect(levels.enable).toBe(0);
    turns(1000, 2001);
    expect([edges, levels.enable]).toEqual([5, 0]);
    pulse(2250);
    expect(levels).toEqual({ relay: 0, enable: 0 });
  });

  it.each([Ending.StopsLow, Ending.StopsHigh, Ending.Enable])('%i gives way to a release by all', (by) => {
    released(by, true);
    drive(0, 0, Ending.All);
    expect(levels).toEqual({ relay: 0, enable: 0 });
    turns(1000, 3000);
    expect(levels).toEqual({ relay: 0, enable: 0 });
  });

  it('never holds a coil that was at rest', () => {
    drive(0, 2000, Ending.StopsHigh);
    turns(1000, 2000);
    expect([edges, levels]).toEqual([0, { relay: 0, enable: 0 }]);
  });
});
