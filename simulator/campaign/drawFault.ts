// One fault of a given kind, with values drawn from what happens in buildings (common practice, no source).
import { Ending } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import type { FaultKind, FaultSpec } from '../faults';
import type { Random } from '../random';
import { chance, pick, spread, whole } from './draw';

export interface CircuitTraits {
  /** Names of its luminaires. */
  lamps: string[];
  /** Every fault that passes or is repaired is over by then, simulated ms. */
  endsBy: number;
}

const SECOND = 1000;
const MINUTE = 60 * SECOND;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;

/** A span that ends by itself. */
function passing(r: Random, at: number, traits: CircuitTraits, least: number, most: number) {
  return { at, to: Math.min(at + spread(r, least, most), traits.endsBy) };
}

/** A part that is repaired after hours or weeks. */
function broken(r: Random, at: number, traits: CircuitTraits) {
  return { at, repairedAt: Math.min(at + spread(r, HOUR, 60 * DAY), traits.endsBy) };
}

function ofLuminaire(r: Random, at: number, traits: CircuitTraits) {
  return { ...broken(r, at, traits), luminaire: pick(r, traits.lamps) };
}

type Draw<K extends FaultKind> = (
  r: Random,
  at: number,
  traits: CircuitTraits,
) => Omit<Extract<FaultSpec, { kind: K }>, 'kind'>;

const DRAWS: { [K in FaultKind]: Draw<K> } = {
  'dead lamp': ofLuminaire,
  'battery open': ofLuminaire,
  'aged battery': (r, at, t) => ({ ...ofLuminaire(r, at, t), lastsMs: spread(r, MINUTE, 3 * HOUR) }),
  'charger dead': ofLuminaire,
  'slow start': (r, at, t) => ({ ...ofLuminaire(r, at, t), slowMs: spread(r, SECOND, 2 * MINUTE) }),
  'dim lamp': (r, at, t) => ({ ...ofLuminaire(r, at, t), output: whole(r, 5, 95) / 100 }),
  'glows on mains': (r, at, t) => ({ ...ofLuminaire(r, at, t), milliamps: whole(r, 1, 300) }),
  'fed from elsewhere': ofLuminaire,
  'sensor open': ofLuminaire,
  'sensor short': ofLuminaire,
  'sensor saturated': ofLuminaire,
  'sensor stuck': ofLuminaire,
  'sensor offset': (r, at, t) => ({ ...ofLuminaire(r, at, t), milliamps: whole(r, -200, 200) }),
  'sensor drift': (r, at, t) => ({ ...ofLuminaire(r, at, t), milliampsPerDay: whole(r, -30, 30) }),
  'sensor noise': (r, at, t) => ({ ...ofLuminaire(r, at, t), milliamps: spread(r, 5, 150) }),
  'sensor cross-talk': (r, at, t) => ({
    ...ofLuminaire(r, at, t),
    from: pick(r, t.lamps),
    share: whole(r, 1, 10) / 10,
  }),
  'sensor shared': (r, at, t) => ({ ...ofLuminaire(r, at, t), from: pick(r, t.lamps) }),
  'module silent': ofLuminaire,
  // Up to twice the time that the driver waits for an answer.
  'module slow': (r, at, t) => ({ ...ofLuminaire(r, at, t), lateMs: spread(r, 40, 300) }),
  'module clash': ofLuminaire,
  'circuit charger dead': broken,
  'relay stuck closed': broken,
  'relay sticks open': (r, at, t) => ({ ...broken(r, at, t), stickMs: spread(r, SECOND, 8 * HOUR) }),
  // The alarm sounds every minute: nobody leaves it for weeks.
  'relay sticks until exercised': (r, at, t) => ({
    at,
    repairedAt: Math.min(at + spread(r, HOUR, DAY), t.endsBy),
    exercises: whole(r, 1, 4),
  }),
  'relay bounces': (r, at, t) => ({ ...broken(r, at, t), bounceMs: spread(r, 50, 5 * SECOND) }),
  'coil open': broken,
  'guard fails': (r, at, t) => ({
    ...broken(r, at, t),
    ending: pick(r, [Ending.StopsLow, Ending.StopsHigh, Ending.Enable]),
  }),
  'supply outage': (r, at, t) => passing(r, at, t, 100, 2 * DAY),
  'supply dip': (r, at) => ({ at, lengthMs: spread(r, 20, 2 * SECOND) }),
  'brown-out': (r, at, t) => {
    const everyMs = spread(r, 300, 20 * SECOND);
    // Long enough to matter, few enough flickers to check each one.
    const span = passing(r, at, t, everyMs, 100 * everyMs);
    return { ...span, everyMs, lowMs: Math.max(20, Math.floor((everyMs * whole(r, 1, 9)) / 10)) };
  },
  'inrush trip': (r, at) => ({ at, offMs: spread(r, SECOND, DAY) }),
  'bus cut': broken,
  'bus noise': (r, at, t) => ({ ...broken(r, at, t), share: spread(r, 1, 100) / 100 }),
  'key left turned': (r, at, t) => passing(r, at, t, SECOND, 4 * DAY),
  'stop pressed': (r, at, t) => passing(r, at, t, SECOND, DAY),
  'person at night': (r, at, t) => passing(r, at, t, SECOND, 8 * HOUR),
  'power cut': (r, at, t) => passing(r, at, t, SECOND, 3 * DAY),
  reset: (_r, at) => ({ at }),
  'burst of resets': (r, at) => ({ at, count: whole(r, 2, 8), everyMs: spread(r, 100, MINUTE) }),
  'program hangs': (r, at, t) => passing(r, at, t, 500, MINUTE),
  // Usually within the drift the clock is trusted for, now and then a broken crystal.
  'clock drift': (r, at, t) => ({
    ...broken(r, at, t),
    ppm: chance(r, 0.8) ? whole(r, -90, 90) : pick(r, [-1, 1]) * spread(r, 150, 20_000),
  }),
  'clock jump': (r, at, t) => ({
    ...passing(r, at, t, MINUTE, 5 * DAY),
    jumpMs: pick(r, [-1, 1]) * spread(r, SECOND, 400 * DAY),
  }),
  'clock loss': (r, at, t) => passing(r, at, t, MINUTE, 60 * DAY),
  'clock chip empty': (_r, at) => ({ at }),
  'clock chip jumps': (r, at) => ({ at, jumpMs: pick(r, [-1, 1]) * spread(r, SECOND, 400 * DAY) }),
  'clock chip drift': (r, at, t) => ({ ...broken(r, at, t), ppm: pick(r, [-1, 1]) * spread(r, 1, 20_000) }),
  'clock chip silent': broken,
  'clock chip rubbish': broken,
  'program damaged': broken,
  'memory damaged': broken,
  'converter broken': broken,
  'torn write': (r, at) => ({ at, bytes: whole(r, 0, 700) }),
  'worn flash': (r, at, t) => ({ at, repairedAt: Math.min(at + spread(r, MINUTE, 8 * HOUR), t.endsBy) }),
  'lying write': (r, at, t) => ({ at, repairedAt: Math.min(at + spread(r, SECOND, 8 * HOUR), t.endsBy) }),
  'denied write': (r, at, t) => ({ at, repairedAt: Math.min(at + spread(r, SECOND, 8 * HOUR), t.endsBy) }),
  'unreadable flash': (r, at, t) => passing(r, at, t, SECOND, 10 * MINUTE),
  'network loss': (r, at, t) => ({ ...passing(r, at, t, MINUTE, 10 * DAY), share: whole(r, 1, 9) / 10 }),
  'network duplication': (r, at, t) => ({
    ...passing(r, at, t, MINUTE, 10 * DAY),
    share: whole(r, 1, 10) / 10,
  }),
  'network delay': (r, at, t) => ({ ...passing(r, at, t, MINUTE, 5 * DAY), delayMs: spread(r, 50, MINUTE) }),
  'network reordering': (r, at, t) => ({
    ...passing(r, at, t, MINUTE, 5 * DAY),
    delayMs: spread(r, 50, 10 * MINUTE),
  }),
  'network partition': (r, at, t) => passing(r, at, t, SECOND, chance(r, 0.1) ? 500 * DAY : 10 * DAY),
  // Up to what the watchdog allows.
  'slow connect': (r, at, t) => ({
    ...passing(r, at, t, MINUTE, 10 * DAY),
    stopMs: spread(r, 100, Limit.ConnectSec * SECOND),
  }),
  'broker off': (r, at, t) => passing(r, at, t, MINUTE, 10 * DAY),
  'access point off': (r, at, t) => passing(r, at, t, MINUTE, 10 * DAY),
};

/** Draws a fault of this kind that begins at `at`, simulated ms. */
export function drawFault(r: Random, kind: FaultKind, at: number, traits: CircuitTraits): FaultSpec {
  return { kind, ...(DRAWS[kind] as Draw<FaultKind>)(r, at, traits) } as FaultSpec;
}
