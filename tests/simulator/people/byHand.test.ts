// An electrician who turns the key, in cases small enough to check by hand.
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import type { FaultSpec } from '../../../simulator/faults';
import { type HandRules, testByHand } from '../../../simulator/people/byHand';
import { ISOLATED_MS } from '../../../simulator/people/callOut';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;

/**
 * Tests on days 0, 30 and 60 at 9 h; the one on day 60 is a full test. Two lamps, rated 1 h and half an hour.
 */
function tested(rules: Partial<HandRules> = {}, faults: FaultSpec[] = [], days = [0, 30, 31, 32, 60, 61]) {
  const [chapter] = testByHand({
    circuits: [{ id: 'c', faults, lamps: [lamp('l0', 3600), lamp('l1', 1800)] }],
    days: days.map((day) => ({
      ...{ from: day * DAY + 9 * HOUR, to: day * DAY + 15 * HOUR },
      ...{ round: `${Math.floor(day / 30)}`, isFull: day >= 60 },
    })),
    rules: {
      ...{ walkMs: 12 * MINUTE, atOnce: 1, skipped: 0, overlooked: 0, keyForgotten: 0, noticedWithinDays: 1 },
      ...rules,
    },
    ...{ seed: 1, startUtcMs: 0, callOut: { afterMs: 14 * DAY }, until: 90 * DAY },
  });
  return chapter;
}

function lamp(id: string, ratedSec: number) {
  return {
    ...{ id, mode: 0 as const, ratedSec, batteryMilliamps: 200, mainsMilliamps: 0 },
    ...{ chemistry: 'LiFePO4' as const, margin: 1.5 },
  };
}

/** Day of each loss of supply, and its minutes. */
function offs(chapter: ReturnType<typeof tested>): number[][] {
  return chapter.offs.map(({ from, to }) => [Math.floor(from / DAY), (to - from) / MINUTE]);
}

describe('testing by hand', () => {
  it('takes the supply away for a walk, and in a full test for the rated duration and a walk', () => {
    const chapter = tested();
    expect(offs(chapter)).toEqual([
      [0, 12],
      [30, 12],
      [60, 72],
    ]);
    expect(chapter.tests.map(({ kind }) => kind)).toEqual([TestKind.Brief, TestKind.Brief, TestKind.Full]);
    expect(chapter.tests.every(({ failed }) => failed.length === 0)).toBe(true);
    expect(chapter).toMatchObject({ failures: [], soundReported: 0 });
    expect(chapter.still).toBeUndefined();
  });

  it('finds a dark lamp on the next walk, and has it repaired after the usual number of days', () => {
    const died = 10 * DAY;
    const chapter = tested({}, [{ kind: 'dead lamp', luminaire: 'l1', at: died }]);
    const foundAt = 30 * DAY + 9 * HOUR + 12 * MINUTE;
    expect(chapter.tests.map(({ failed }) => failed)).toEqual([[], [1], []]);
    // The circuit is isolated for the repair.
    expect(offs(chapter)[2]).toEqual([44, ISOLATED_MS / MINUTE]);
    expect(chapter.offs.map(({ meantMs, to, from }) => to - from - meantMs)).toEqual([0, 0, 0, 0]);
    expect(chapter.failures).toEqual([{ luminaire: 'l1', what: 'dead lamp', at: died, foundAt }]);
    expect(chapter.ailments[1]).toEqual([expect.objectContaining({ from: died, to: foundAt + 14 * DAY })]);
  });

  it('finds a battery that gives out too early in the full test only, each at its own rated duration', () => {
    // The first is checked 64 minutes after the key was turned, the second 38 minutes after.
    const aged = (luminaire: string, minutes: number): FaultSpec => ({
      ...{ kind: 'aged battery', luminaire, at: DAY, lastsMs: minutes * MINUTE },
    });
    const chapter = tested({}, [aged('l0', 58), aged('l1', 60)]);
    expect(chapter.tests.map(({ failed }) => failed)).toEqual([[], [], [0]]);
    expect(chapter.failures).toMatchObject([{ luminaire: 'l0', what: 'aged battery', at: DAY }]);
  });

  it('never finds what is walked past', () => {
    const chapter = tested({ overlooked: 1 }, [{ kind: 'dead lamp', luminaire: 'l0', at: DAY }]);
    expect(chapter.failures).toEqual([{ luminaire: 'l0', what: 'dead lamp', at: DAY }]);
  });

  it('tests nothing when every test is skipped', () => {
    expect(tested({ skipped: 1 })).toMatchObject({ tests: [], offs: [] });
  });

  it('leaves the supply off until the next working day when the key is left turned', () => {
    const chapter = tested({ keyForgotten: 1 });
    // From day 0 to day 30, when the electrician finds the key still turned and does not test; then from day
    // 60 to day 61.
    expect(offs(chapter)).toEqual([
      [0, (30 * DAY) / MINUTE],
      [60, DAY / MINUTE],
    ]);
    expect(chapter.tests.map(({ at }) => Math.floor(at / DAY))).toEqual([0, 60]);
    expect(chapter.offs.map(({ meantMs }) => meantMs / MINUTE)).toEqual([12, 72]);
  });

  it('reports a sound luminaire that went out after its rated duration, before anyone reached it', () => {
    // The walk reaches it after 4 minutes.
    const aged: FaultSpec = { kind: 'aged battery', luminaire: 'l0', at: DAY, lastsMs: 62 * MINUTE };
    const chapter = tested({}, [aged]);
    expect(chapter.tests.map(({ failed }) => failed)).toEqual([[], [], [0]]);
    expect(chapter).toMatchObject({ failures: [], soundReported: 1 });
  });

  it('is the same for the same seed', () => {
    const faults: FaultSpec[] = [{ kind: 'charger dead', luminaire: 'l0', at: 0 }];
    const rules = { keyForgotten: 0.5, overlooked: 0.5, skipped: 0.3, noticedWithinDays: 3 };
    expect(tested(rules, faults)).toEqual(tested(rules, faults));
  });
});
