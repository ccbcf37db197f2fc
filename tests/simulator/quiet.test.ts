// Readings that a long run leaves out: whatever happens to the lamps, their sensors and the supply during a
// test, the controller ends in the same state, and so does the circuit.
import { assert, constantFrom, integer, oneof, property, record, tuple } from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../firmware/contract/codes';
import type { FaultSpec } from '../../simulator/faults';
import type { Lone } from '../../simulator/run/lone';
import { Trace } from '../../simulator/trace';
import { runs } from '../support/depth';
import { SETTINGS } from './estate';
import { circuit, DAY_MS } from './run/circuit';

const HOUR_MS = 3_600_000;
/** Days with a brief test and a full one, each starting in the day's second hour. */
const NIGHTS = [2, 10];

const ALL_LAMPS = ['l0', 'l1', 'l2', 'l3'];
const LATE = { kind: 'slow start', slowMs: 70_000 } as const;
const OF_LAMP = [
  { kind: 'dead lamp' },
  { kind: 'battery open' },
  { kind: 'charger dead' },
  { kind: 'slow start', slowMs: 3000 },
  LATE,
  { kind: 'dim lamp', output: 0.72 },
  { kind: 'dim lamp', output: 0.6 },
  { kind: 'sensor open' },
  { kind: 'sensor stuck' },
  { kind: 'sensor drift', milliampsPerDay: 900 },
  { kind: 'sensor drift', milliampsPerDay: -20_000 },
  { kind: 'sensor noise', milliamps: 40 },
] as const;
const OF_SUPPLY = ['supply outage', 'key left turned', 'stop pressed', 'person at night'] as const;

/** Ms into a test: anywhere, in the first minute, around the end of a brief one and of a full one. */
const within = oneof(
  integer({ min: -2000, max: HOUR_MS + 10_000 }),
  integer({ min: 0, max: 70_000 }),
  integer({ min: SETTINGS.briefSec * 1000 - 3000, max: SETTINGS.briefSec * 1000 + 10_000 }),
  integer({ min: HOUR_MS - 3000, max: HOUR_MS + 10_000 }),
);
/** Sensors so noisy that a look on mains takes its two hundred readings. */
const NOISY = ALL_LAMPS.map(
  (luminaire): FaultSpec => ({ kind: 'sensor noise', luminaire, at: 0, milliamps: 25 }),
);
/**
 * A relay that is slow to settle, or a coil that breaks during the test: the circuit is not left alone then.
 */
const OF_RELAY: FaultSpec[] = [
  { kind: 'relay bounces', at: 0, repairedAt: 20 * DAY_MS, bounceMs: 1800 },
  { kind: 'coil open', at: 10 * DAY_MS + 1.5 * HOUR_MS, repairedAt: 10 * DAY_MS + 1.6 * HOUR_MS },
  {
    kind: 'brown-out',
    at: 2 * DAY_MS + HOUR_MS + 30_000,
    to: 2 * DAY_MS + 2 * HOUR_MS,
    everyMs: 900,
    lowMs: 70,
  },
];

const instant = tuple(constantFrom(...NIGHTS), within).map(([night, ms]) => night * DAY_MS + HOUR_MS + ms);
const lamp = constantFrom(...ALL_LAMPS);

const lampFault = tuple(
  constantFrom(...OF_LAMP),
  lamp,
  instant,
  integer({ min: 1000, max: 2 * HOUR_MS }),
).map(([fault, luminaire, at, ms]): FaultSpec => ({ ...fault, luminaire, at, repairedAt: at + ms }));
const aged = record({
  luminaire: lamp,
  lastsMs: oneof(integer({ min: 500, max: HOUR_MS + 400_000 }), integer({ min: 30_000, max: 200_000 })),
}).map((one): FaultSpec => ({ kind: 'aged battery', at: 0, ...one }));
const supply = tuple(constantFrom(...OF_SUPPLY), instant, integer({ min: 300, max: 60_000 })).map(
  ([kind, at, ms]): FaultSpec => ({ kind, at, to: at + ms }),
);
const dip = tuple(instant, integer({ min: 100, max: 700 })).map(
  ([at, lengthMs]): FaultSpec => ({ kind: 'supply dip', at, lengthMs }),
);

/** The final state, and how often the controller was checked. */
function outcome(lone: Lone) {
  let looks = 0;
  const after = lone.watch.after.bind(lone.watch);
  lone.watch.after = (node, now) => {
    looks++;
    after(node, now);
  };
  lone.run(12 * DAY_MS);
  const { core } = lone.node.controller ?? {};
  const { luminaires, readings, relay } = lone.node.plant;
  return { looks, left: structuredClone({ core, luminaires, readings, relay, standing: lone.standing() }) };
}

/** The same with nothing left out: a traced controller runs turn by turn. */
function turnByTurn(faults: FaultSpec[]) {
  const lone = circuit({ faults });
  lone.node.trace = new Trace();
  return outcome(lone);
}

describe('the readings that a long run leaves out', () => {
  it('are most of a test', () => {
    const all = turnByTurn([]);
    const few = outcome(circuit());
    expect(few.left).toEqual(all.left);
    expect(all.left.standing.account.filed).toBe(5);
    expect(few.looks).toBeLessThan(all.looks / 2);
  });

  it('are most of a long look on mains', () => {
    const all = turnByTurn(NOISY);
    const few = outcome(circuit({ faults: NOISY }));
    expect(few.left).toEqual(all.left);
    expect(all.looks - few.looks).toBeGreaterThan(300);
  });

  it('are not that at which a test ends because no lamp came on', () => {
    const faults = ALL_LAMPS.map((luminaire): FaultSpec => ({ ...LATE, luminaire, at: 0 }));
    const few = outcome(circuit({ faults }));
    expect(few.left).toEqual(turnByTurn(faults).left);
    expect(few.left.standing.account.tests[TestKind.Brief].void).toBeGreaterThan(0);
  });

  it('change nothing, whatever happens to lamps, sensors and supply in the middle of a test', () => {
    const isNoisyLook = constantFrom(false, false, true);
    const bits = constantFrom(0, 1, 2, 3);
    const any = tuple(lampFault, aged, bits, supply, dip, constantFrom(0, 0, 1, 2, 3), isNoisyLook);
    assert(
      property(any, ([lamps, battery, which, gone, short, relay, isNoisy]) => {
        const faults = [lamps, ...(which & 1 ? [battery] : []), ...(which & 2 ? [gone, short] : [])];
        if (isNoisy) faults.push(...NOISY);
        faults.push(...OF_RELAY.slice(0, relay));
        expect(outcome(circuit({ faults })).left).toEqual(turnByTurn(faults).left);
      }),
      { numRuns: runs(40) },
    );
  });
});
