// Every kind of fault planted into one circuit through a night with a full test: each bites, and none breaks
// an invariant.
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../firmware/contract/codes';
import { FAULT_KINDS, type FaultKind, type FaultSpec } from '../../simulator/faults';
import { Estate, HOURS, WINDOW, WINDOW_MS } from './estate';

const MINUTES = (n: number) => n * 60_000;
const FULL = [[1, TestKind.Full, WINDOW.start, WINDOW.end]];
/** In the middle of the test. */
const at = WINDOW_MS + MINUTES(10);
const luminaire = 'l0';
const repairedAt = at + HOURS(30);
const to = at + MINUTES(3);

const EXAMPLES: { [kind in FaultKind]: Extract<FaultSpec, { kind: kind }> } = {
  'dead lamp': { kind: 'dead lamp', luminaire, at, repairedAt },
  'battery open': { kind: 'battery open', luminaire, at, repairedAt },
  'aged battery': { kind: 'aged battery', luminaire, at, repairedAt, lastsMs: MINUTES(20) },
  'charger dead': { kind: 'charger dead', luminaire, at, repairedAt },
  'slow start': { kind: 'slow start', luminaire, at: 0, slowMs: 9000 },
  'dim lamp': { kind: 'dim lamp', luminaire, at, repairedAt, output: 0.6 },
  'sensor open': { kind: 'sensor open', luminaire, at, repairedAt },
  'sensor short': { kind: 'sensor short', luminaire, at, repairedAt },
  'sensor saturated': { kind: 'sensor saturated', luminaire, at, repairedAt },
  'sensor stuck': { kind: 'sensor stuck', luminaire, at, repairedAt },
  'sensor offset': { kind: 'sensor offset', luminaire, at, repairedAt, milliamps: -90 },
  'sensor drift': { kind: 'sensor drift', luminaire, at: 0, repairedAt, milliampsPerDay: 60 },
  'sensor noise': { kind: 'sensor noise', luminaire, at, repairedAt, milliamps: 80 },
  'sensor cross-talk': { kind: 'sensor cross-talk', luminaire, at, repairedAt, from: 'l1', share: 0.4 },
  'circuit charger dead': { kind: 'circuit charger dead', at, repairedAt },
  'relay stuck closed': { kind: 'relay stuck closed', at: 0, repairedAt },
  'relay sticks open': { kind: 'relay sticks open', at, repairedAt, stickMs: MINUTES(4) },
  'relay sticks until exercised': { kind: 'relay sticks until exercised', at, repairedAt, exercises: 2 },
  'relay bounces': { kind: 'relay bounces', at: 0, repairedAt, bounceMs: 700 },
  'coil open': { kind: 'coil open', at, repairedAt },
  'supply outage': { kind: 'supply outage', at, to },
  'supply dip': { kind: 'supply dip', at, lengthMs: 800 },
  'brown-out': { kind: 'brown-out', at, to, everyMs: 900, lowMs: 300 },
  'inrush trip': { kind: 'inrush trip', at, offMs: HOURS(1) },
  'key left turned': { kind: 'key left turned', at, to },
  'stop pressed': { kind: 'stop pressed', at, to },
  'person at night': { kind: 'person at night', at, to },
  'power cut': { kind: 'power cut', at, to },
  reset: { kind: 'reset', at },
  'burst of resets': { kind: 'burst of resets', at, count: 5, everyMs: 7000 },
  'program hangs': { kind: 'program hangs', at, to },
  'clock drift': { kind: 'clock drift', at, repairedAt, ppm: 90 },
  'clock jump': { kind: 'clock jump', at, to, jumpMs: HOURS(2) },
  'clock loss': { kind: 'clock loss', at, to: to + HOURS(24) },
  'torn write': { kind: 'torn write', at, bytes: 40 },
  'worn flash': { kind: 'worn flash', at, repairedAt },
  'lying write': { kind: 'lying write', at, repairedAt },
  'network loss': { kind: 'network loss', at: 0, to: repairedAt, share: 0.4 },
  'network duplication': { kind: 'network duplication', at: 0, to: repairedAt, share: 0.5 },
  'network delay': { kind: 'network delay', at: 0, to: repairedAt, delayMs: 900 },
  'network reordering': { kind: 'network reordering', at: 0, to: repairedAt, delayMs: 4000 },
  'network partition': { kind: 'network partition', at, to: to + HOURS(2) },
};

describe('every invariant holds through a night with a full test and', () => {
  it.each(Object.keys(FAULT_KINDS) as FaultKind[])('%s', (kind) => {
    const e = new Estate({ slots: FULL, noise: true, spec: { faults: [EXAMPLES[kind]] } }).run(
      WINDOW_MS + HOURS(60),
    );
    expect(e.watch.violations).toEqual([]);
    expect(e.refused).toEqual([]);
  });
});
