// Lamps read through modules on a bus: a reading takes time, and a module may not be heard. The points are
// those of EN 1838:2013 and IEC 60598-2-22 (5 s and 60 s; from secondary restatements).
import { describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { newRandom, next32 } from '../../../simulator/random';
import { BATTERY, Bench, IN_WINDOW, type LampModel, lampOf } from './bench';

/** A sweep of 16 modules at 9,600 bit/s, in turns of the loop. */
const SWEEP_MS = 1000;
const RATED_MS = 3_600_000;
const KINDS = [TestKind.Brief, TestKind.Full];
/** Each way in which a module is not heard, with its reason. */
const UNHEARD: [string, number, Reason][] = [
  ['silent', Limit.Unheard, Reason.SensorSilent],
  ['slow', Limit.Unheard + 1, Reason.SensorSlow],
  ['one of two at its address', Limit.Unheard + 2, Reason.SensorClash],
  ['garbled', Limit.UnheardLast, Reason.SensorGarbled],
];

/** Runs a test on four modules; `odd` is the first. */
function run(kind: TestKind, odd: LampModel, sweepMs = SWEEP_MS): Bench {
  const b = new Bench().planned(kind);
  b.sweepMs = sweepMs;
  b.lamps[0] = odd;
  return b.run(IN_WINDOW + (kind === TestKind.Full ? RATED_MS : 0) + 300_000);
}

const judgements = (b: Bench): number[][] => b.result().lamps.map((lamp) => lamp.slice(0, 2));
const PASS = [Verdict.Pass, Reason.None];
const GOOD = lampOf(0);

/** A module that is not heard from one instant of the discharge to another. */
function unheard(from: number, to: number, how: number = Limit.Unheard, lamp = GOOD): LampModel {
  return (litMs) => (litMs >= from && litMs < to ? how : lamp(litMs));
}

describe('a reading that takes a second', () => {
  it.each(KINDS)('gives the same verdicts in a test of kind %i', (kind) => {
    expect(judgements(run(kind, GOOD))).toEqual([PASS, PASS, PASS, PASS]);
    expect(judgements(run(kind, () => 0)).slice(0, 2)).toEqual([
      [Verdict.Fail, Reason.NotLitAtFiveSeconds],
      PASS,
    ]);
    expect(judgements(run(kind, lampOf(0, 50_000)))[0]).toEqual([Verdict.Fail, Reason.EndedEarly]);
  });

  it.each([1000, 2000])(
    'of %i ms proves a lamp lit at its end only when all of it lies behind the end',
    (ms) => {
      for (let before = 100; before < 3000; before += 300) {
        const b = run(TestKind.Full, lampOf(0, RATED_MS - before), ms);
        expect(judgements(b)[0], `dead ${before} ms before its end`).toEqual([
          Verdict.Fail,
          Reason.EndedEarly,
        ]);
        expect(judgements(b)[1]).toEqual(PASS);
      }
    },
  );

  it('keeps the supply off for at most 5 s after the end', () => {
    for (const sweepMs of [1000, 2500]) {
      const b = run(TestKind.Brief, GOOD, sweepMs);
      const offMs = b.drives[1].at - b.s.t0 - b.s.limitMs;
      expect(offMs).toBeLessThanOrEqual(Limit.SampleGapMs);
      expect(b.broken).toEqual([]);
    }
  });

  it('knows the end of duration to 2 s', () => {
    for (let died = 1_800_000; died < 1_803_000; died += 400) {
      const lit = run(TestKind.Full, lampOf(0, died)).result().lamps[0][2];
      expect(Math.abs(lit - died / 1000)).toBeLessThanOrEqual(2);
    }
  });

  it('that never ends makes the test void for want of readings', () => {
    const b = run(TestKind.Brief, GOOD, 20_000);
    expect(b.result().lamps.every(([verdict]) => verdict === Verdict.Void)).toBe(true);
    expect(b.result().end).toBe(Reason.SampleGap);
  });
});

describe('the points, between two readings', () => {
  it('are not failed by a lamp that came between them: it is void, since no reading tells', () => {
    expect(judgements(run(TestKind.Brief, lampOf(0, Number.POSITIVE_INFINITY, 4700)))[0]).toEqual([
      Verdict.Void,
      Reason.SensorSlow,
    ]);
    expect(
      judgements(run(TestKind.Brief, unheard(3000, 6500, Limit.Unheard, lampOf(0, 1e9, 4000))))[0],
    ).toEqual([Verdict.Void, Reason.SensorSlow]);
  });

  it('are failed by a lamp that is still dark in a reading after them', () => {
    expect(judgements(run(TestKind.Brief, lampOf(0, 1e9, 7500)))[0]).toEqual([
      Verdict.Fail,
      Reason.NotLitAtFiveSeconds,
    ]);
    const dim: LampModel = (litMs) => (litMs < 0 ? 0 : litMs < 72_000 ? BATTERY * 0.6 : BATTERY);
    expect(judgements(run(TestKind.Brief, dim))[0]).toEqual([Verdict.Fail, Reason.NotFullAtSixtySeconds]);
  });

  it('pass a lamp that came well before them', () => {
    expect(judgements(run(TestKind.Brief, lampOf(0, 1e9, 2500)))[0]).toEqual(PASS);
  });
});

describe.each(UNHEARD)('a module that is %s', (_name, reading, reason) => {
  it.each(KINDS)('throughout is void by name in a test of kind %i, and the others are judged', (kind) => {
    expect(judgements(run(kind, () => reading))).toEqual([[Verdict.Void, reason], PASS, PASS, PASS]);
  });

  it('from some point of the discharge on is void, lit or dark', () => {
    for (const lamp of [GOOD, () => 0])
      for (const from of [1000, 30_000])
        expect(judgements(run(TestKind.Brief, unheard(from, 1e9, reading, lamp)))[0][0]).not.toBe(
          Verdict.Pass,
        );
    expect(judgements(run(TestKind.Full, unheard(30_000, 1e9, reading)))[0]).toEqual([Verdict.Void, reason]);
  });

  it('for a moment is asked again and judged', () => {
    for (const from of [2000, 58_500, 70_000, 1_000_000, RATED_MS - 500])
      expect(judgements(run(TestKind.Full, unheard(from, from + 1200, reading)))[0], `${from}`).toEqual(PASS);
  });

  it('for longer than evidence may be missing is void even if it is heard again', () => {
    expect(judgements(run(TestKind.Full, unheard(600_000, 606_000, reading)))[0]).toEqual([
      Verdict.Void,
      reason,
    ]);
  });

  it('in one reading on mains is read again on mains', () => {
    let count = 0;
    expect(
      judgements(run(TestKind.Brief, (litMs) => (litMs < 0 && ++count === 2 ? reading : GOOD(litMs))))[0],
    ).toEqual(PASS);
  });
});

it('a bus that falls silent ends the test as a tester fault that names it', () => {
  const b = new Bench().planned(TestKind.Full);
  b.sweepMs = SWEEP_MS;
  b.lamps = b.lamps.map((_, i) => unheard(600_000, 1e9, Limit.Unheard, lampOf(i)));
  b.run(IN_WINDOW + RATED_MS);
  expect(b.result().end).toBe(Reason.SensorSilent);
  expect(
    b.result().lamps.every(([verdict, why]) => verdict === Verdict.Void && why === Reason.SensorSilent),
  ).toBe(true);
  expect(b.s.reason).toBe(Reason.SensorSilent);
});

// The driver tries each module twice, so this is noise that damages one answer in six.
describe('under noise that costs three readings in a hundred', () => {
  const random = newRandom(11);
  const noisy =
    (lamp: LampModel): LampModel =>
    (litMs) =>
      next32(random) / 2 ** 32 < 0.03 ? Limit.UnheardLast : lamp(litMs);
  const ROUNDS = 40;

  it('no sound lamp fails', () => {
    let passed = 0;
    for (let round = 0; round < ROUNDS; round++) {
      const b = new Bench().planned(TestKind.Full);
      b.sweepMs = SWEEP_MS;
      b.lamps = b.lamps.map((_, i) => noisy(lampOf(i)));
      for (const [verdict, why] of judgements(b.run(IN_WINDOW + RATED_MS + 300_000))) {
        expect([PASS, [Verdict.Void, Reason.SensorGarbled]]).toContainEqual([verdict, why]);
        if (verdict === Verdict.Pass) passed++;
      }
    }
    expect(passed).toBeGreaterThan(ROUNDS * 4 * 0.9);
  });

  it('no lamp passes that is dark, slow or dies early', () => {
    const bad = [() => 0, lampOf(0, 1e9, 9000), lampOf(0, RATED_MS - 2000), lampOf(0, 20_000)];
    for (let round = 0; round < ROUNDS / 4; round++)
      for (const lamp of bad)
        expect(judgements(run(TestKind.Full, noisy(lamp)))[0][0]).not.toBe(Verdict.Pass);
  });
});
