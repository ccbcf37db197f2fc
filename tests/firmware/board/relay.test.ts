// The coil's outputs on a workbench of pins: what the pulse detector and the enable gate are given.
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { Limit } from '../../../firmware/contract/limits';

interface Relay {
  setUpRelay(name: string, enableName: string): void;
  drive(open: number, until: number): void;
  pulse(now: number): void;
}
/** By a path that the compiler does not follow: the interpreter's own types quarrel with those of Node. */
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
  drive(0, 0);
  edges = 0;
});
afterEach(() => vi.unstubAllGlobals());

/** Turns of the loop from `from` to `to`, ms, with the wish as it is. */
function turns(from: number, to: number): void {
  for (let now = from; now < to; now += Limit.LoopMs) pulse(now);
}

it('makes one edge a turn while the coil is wanted, and none before', () => {
  turns(0, 1000);
  expect([edges, levels.enable]).toEqual([0, 0]);
  drive(1, 10_000);
  turns(1000, 2000);
  expect([edges, levels.enable]).toEqual([4, 1]);
});

it('releases both outputs in the very call that ends the demand', () => {
  drive(1, 10_000);
  pulse(0);
  expect(levels).toEqual({ relay: 1, enable: 1 });
  drive(0, 0);
  expect(levels).toEqual({ relay: 0, enable: 0 });
});

it('lets go when the lease has run out, and holds again only by a new edge', () => {
  drive(1, 1000);
  turns(0, 1250);
  expect(levels.enable).toBe(1);
  pulse(1250);
  expect(levels).toEqual({ relay: 0, enable: 0 });
  edges = 0;
  turns(1500, 3000);
  expect(edges).toBe(0);
});

it('times the longest opening on its own, whatever the lease says', () => {
  drive(1, 1e9);
  turns(0, Limit.OpenCapSec * 1000 + 1);
  expect(levels.enable).toBe(1);
  pulse(Limit.OpenCapSec * 1000 + 250);
  expect(levels).toEqual({ relay: 0, enable: 0 });
});

it('leaves the enable gate alone where none is fitted', () => {
  levels.enable = 7;
  setUpRelay('relay', '');
  drive(1, 10_000);
  pulse(0);
  drive(0, 0);
  expect(levels).toEqual({ relay: 0, enable: 7 });
});
