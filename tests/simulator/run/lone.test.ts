// A controller run on its own: skipping time, and running in a tighter loop, change nothing.
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import type { FaultSpec } from '../../../simulator/faults';
import type { Standing } from '../../../simulator/run/lone';
import { Trace } from '../../../simulator/trace';
import { circuit, DAY_MS } from './circuit';

/** Two months in which a lot happens. */
const FAULTS: FaultSpec[] = [
  { kind: 'aged battery', luminaire: 'l0', at: 0, lastsMs: 1_500_000 },
  { kind: 'dead lamp', luminaire: 'l2', at: 30 * DAY_MS },
  { kind: 'supply outage', at: 10 * DAY_MS + 5_000_000, to: 10 * DAY_MS + 5_400_000 },
  { kind: 'supply dip', at: 20 * DAY_MS, lengthMs: 400 },
  { kind: 'reset', at: 25 * DAY_MS },
  { kind: 'key left turned', at: 27 * DAY_MS, to: 28 * DAY_MS },
];

/** A noisy sensor; lamps that come near their level, and sensors that go wrong, in the middle of the duration test. */
const NEAR_LEVEL: FaultSpec[] = [
  { kind: 'dim lamp', luminaire: 'l1', at: 10 * DAY_MS + 4_700_000, output: 0.72 },
  { kind: 'sensor noise', luminaire: 'l2', at: DAY_MS, milliamps: 20 },
  { kind: 'sensor stuck', luminaire: 'l3', at: 10 * DAY_MS + 6_100_000 },
  { kind: 'sensor drift', luminaire: 'l0', at: 39 * DAY_MS, milliampsPerDay: -60 },
];

function standing(lone: ReturnType<typeof circuit>, days = 60): Standing {
  lone.run(days * DAY_MS);
  return lone.standing();
}

describe('a controller on its own', () => {
  it('runs its tests by the plan, and all its records are filed', () => {
    const { account, violations, unfiled, openings } = standing(circuit());
    expect(violations).toEqual([]);
    expect(account.tests[TestKind.Brief]).toEqual({ pass: 8, fail: 0, void: 0 });
    expect(account.tests[TestKind.Full]).toEqual({ pass: 4, fail: 0, void: 0 });
    expect(account).toMatchObject({ filed: 7, missing: 0, repeated: 0, doubled: 0, broken: 0 });
    expect([unfiled, openings.at.length]).toEqual([0, 3]);
  });

  it.each([
    ['a quiet time', []],
    ['faults, an outage, a reset and a key', FAULTS],
    ['noise, and lamps near their level', NEAR_LEVEL],
  ])('writes the same to the byte whether a discharge is run turn by turn or not: %s', (_what, faults) => {
    const turnByTurn = circuit({ faults });
    turnByTurn.node.trace = new Trace();
    const one = standing(turnByTurn);
    const other = standing(circuit({ faults }));
    expect(one.violations).toEqual([]);
    expect(other).toEqual(one);
  });

  it.each([
    ['a quiet time', []],
    ['faults, an outage, a reset and a key', FAULTS],
  ])('reaches the same verdicts whether it may sleep or not: %s', (_what, faults) => {
    const awake = standing(circuit({ faults, fleet: { isSparing: false } }));
    const asleep = standing(circuit({ faults }));
    const { tests, filed, missing, doubled, broken } = awake.account;
    expect(asleep.account).toMatchObject({ tests, filed, missing, doubled, broken });
    expect([asleep.violations, awake.violations]).toEqual([[], []]);
    // The clock is set at other times, so an opening may come that much sooner or later.
    awake.openings.at.forEach((at, i) => {
      expect(Math.abs(asleep.openings.at[i] - at)).toBeLessThan(15_000);
    });
  });

  it('writes the same to the byte over the wire whose packets another implementation reads', () => {
    const storm: FaultSpec = { kind: 'network delay', at: 1e12, to: 2e12, delayMs: 1000 };
    const one = standing(circuit({ faults: [storm] }));
    expect(standing(circuit())).toEqual(one);
    expect(one.account.filed).toBe(7);
  });

  it('gives a test another night when someone is in the area, and reports what falls due', () => {
    const visits = [{ from: 2 * DAY_MS, to: 3 * DAY_MS }];
    const { account, openings } = standing(circuit({ visits }), 30);
    expect(openings.at.length).toBe(2);
    expect(account.filed).toBe(5);
    const held: FaultSpec = { kind: 'key left turned', at: 1.5 * DAY_MS, to: 3 * DAY_MS };
    const later = standing(circuit({ faults: [held] }), 30);
    expect(later.openings.at[0]).toBeGreaterThan(4 * DAY_MS);
  });

  it('is caught when it breaks a rule', () => {
    const lone = circuit();
    lone.node.spec.rules.slots = [];
    expect(standing(lone).violations[0]).toMatch(
      /^c1 at 2026-01-12T01:.*I2 opened outside a permitted window$/,
    );
  });
});
