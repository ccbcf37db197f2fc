// What is noted about a controller run on its own, and that noting it changes nothing.

import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import { readLine } from '../../../firmware/contract/curve';
import { Limit } from '../../../firmware/contract/limits';
import type { FaultSpec } from '../../../simulator/faults';
import { ISOLATED_MS } from '../../../simulator/people/callOut';
import { circuit, DAY_MS } from './circuit';

const FAULTS: FaultSpec[] = [
  { kind: 'dead lamp', luminaire: 'l2', at: DAY_MS },
  { kind: 'aged battery', luminaire: 'l0', at: 5 * DAY_MS, lastsMs: 1_500_000 },
];

function told(days: number, repairMs?: number, faults = FAULTS) {
  const lone = circuit({
    faults,
    fleet: { chronicle: repairMs === undefined ? {} : { callOut: { afterMs: repairMs } } },
  });
  lone.run(days * DAY_MS);
  return lone.standing();
}

describe('the chronicle of a controller', () => {
  it('changes nothing in what the controller does', () => {
    const plain = circuit({ faults: FAULTS });
    plain.run(60 * DAY_MS);
    const { chapter, ...rest } = told(60);
    expect(rest).toEqual(plain.standing());
    expect(chapter?.failures).toEqual([]);
  });

  it('lists each test with the luminaires that failed in it, and the curves of a full one', () => {
    const { chapter, openings } = told(60);
    expect(chapter?.tests.map(({ kind, failed }) => [kind, failed])).toEqual([
      [TestKind.Brief, [2]],
      [TestKind.Full, [0, 2]],
      [TestKind.Brief, [2]],
    ]);
    const [brief, full] = chapter?.tests ?? [];
    expect(brief.curves).toBeUndefined();
    expect(full.curves?.map((text) => readLine(text) !== undefined)).toEqual([true, true, true, true]);
    expect(full.gridSec).toBe(10);
    chapter?.tests.forEach(({ at }, i) => {
      expect(Math.abs(at - openings.at[i])).toBeLessThan(2000);
    });
  });

  it('lists when the luminaires were without supply, and for how long that was meant', () => {
    const { chapter } = told(60);
    for (const { from, to, meantMs } of chapter?.offs ?? []) {
      expect(to - from).toBeLessThan(meantMs + Limit.DetectorProofMs);
      expect(to - from).toBeGreaterThan(meantMs - 1000);
    }
    expect(chapter?.offs.map(({ kind }) => kind)).toEqual([TestKind.Brief, TestKind.Full, TestKind.Brief]);
    const key = told(20, undefined, [{ kind: 'key left turned', at: 3 * DAY_MS, to: 5 * DAY_MS }]).chapter;
    expect(key?.offs).toContainEqual({
      ...{ kind: TestKind.None, meantMs: 0 },
      from: 3 * DAY_MS,
      to: 5 * DAY_MS,
    });
    expect(
      told(4, undefined, [{ kind: 'key left turned', at: 3 * DAY_MS, to: 5 * DAY_MS }]).chapter?.still,
    ).toEqual({ ...{ kind: TestKind.None, meantMs: 0 }, from: 3 * DAY_MS, to: 4 * DAY_MS });
  });

  it('has failed lamps repaired, so that they pass the next time', () => {
    const { chapter, violations } = told(60, 3 * DAY_MS);
    expect(violations).toEqual([]);
    expect(chapter?.tests.map(({ failed }) => failed)).toEqual([[2], [0], []]);
    expect(chapter?.failures.map(({ luminaire, what, at }) => [luminaire, what, at])).toEqual([
      ['l2', 'dead lamp', DAY_MS],
      ['l0', 'aged battery', 5 * DAY_MS],
    ]);
    // The first brief test is on the third day.
    const [dead] = chapter?.failures ?? [];
    expect(Math.floor((dead.foundAt as number) / DAY_MS)).toBe(2);
  });

  it('has a repaired luminaire charged before its next duration test, because the work isolates the circuit', () => {
    // Its lamp is reported on the third day; then its charger dies and a key left turned runs its battery flat.
    const faults: FaultSpec[] = [
      { kind: 'dead lamp', luminaire: 'l0', at: DAY_MS, repairedAt: 3 * DAY_MS },
      { kind: 'charger dead', luminaire: 'l0', at: 3 * DAY_MS },
      { kind: 'key left turned', at: 3 * DAY_MS, to: 4 * DAY_MS },
    ];
    // Both are repaired the day before the first night of the full test.
    const { chapter, violations } = told(60, 7.6 * DAY_MS, faults);
    expect(violations).toEqual([]);
    const full = chapter?.tests.filter(({ kind }) => kind === TestKind.Full);
    expect(full?.map(({ at, failed }) => [Math.floor(at / DAY_MS), failed])).toEqual([[14, []]]);
    expect(chapter?.soundReported).toBe(0);
    const repair = chapter?.offs.find(({ from }) => Math.floor(from / DAY_MS) === 9);
    expect(repair).toMatchObject({ kind: TestKind.None, meantMs: ISOLATED_MS });
    expect((repair?.to ?? 0) - (repair?.from ?? 0)).toBe(ISOLATED_MS);
  });

  it('has a sensor repaired whose readings prove nothing about its lamp', () => {
    const saturated: FaultSpec[] = [{ kind: 'sensor saturated', luminaire: 'l1', at: DAY_MS }];
    const voided = (repairMs?: number) =>
      told(60, repairMs, saturated).chapter?.tests.map((test) => test.voided);
    expect(voided()).toEqual([[1], [1], [1]]);
    expect(voided(3 * DAY_MS)).toEqual([[1], [], []]);
  });

  it('has a tester fault cleared, so that testing continues', () => {
    const allDead = ['l0', 'l1', 'l2', 'l3'].map(
      (luminaire): FaultSpec => ({ kind: 'dead lamp', luminaire, at: DAY_MS }),
    );
    const left = told(60, undefined, allDead);
    const seenTo = told(60, DAY_MS, allDead);
    expect(left.chapter?.tests).toHaveLength(1);
    expect(seenTo.chapter?.tests.length).toBeGreaterThan(2);
    expect(seenTo.chapter?.failures).toHaveLength(4);
    expect(seenTo.chapter?.failures.every(({ foundAt }) => foundAt !== undefined)).toBe(true);
  });
});
