// The points judged here are those of EN 1838:2013 and IEC 60598-2-22 (50 % of the emergency output
// within 5 s, all of it within 60 s; read in secondary restatements, not in the standards themselves).
// Dips, sensor offsets, the rule of many at once and the other limits are common practice, no source.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Phase, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { linePercent, readLine } from '../../../firmware/contract/curve';
import {
  allModes,
  lampsText,
  MODE_WORDS,
  ON_MAINS,
  OnMains,
  ResultColumn,
} from '../../../firmware/contract/lamps';
import { Limit } from '../../../firmware/contract/limits';
import { clearJudgement, closeJudgement, judgeSample } from '../../../firmware/core/judgement';
import { concludeMains, lookOnMains } from '../../../firmware/core/mainsLook';
import { takeSettings } from '../../../firmware/core/settings';
import { type Core, newCore } from '../../../firmware/core/state';
import { runs } from '../../support/depth';
import { BATTERY, Bench, IN_WINDOW, type LampModel, lampOf, PASS, SETTINGS } from './bench';

const RATED_MS = 3_600_000;

/** Runs one test on lamps of mode 0, 1, 2, 3; `odd` replaces the first. */
function judged(kind: TestKind, odd: LampModel, settings = {}): Bench {
  const b = new Bench(settings).planned(kind);
  b.lamps[0] = odd;
  return b.run(IN_WINDOW + (kind === TestKind.Full ? RATED_MS : 0) + 300_000);
}

/** [verdict, reason, seconds lit] of the first lamp. */
function first(b: Bench): number[] {
  return b.result().lamps[0].slice(0, 3);
}

/** A lamp that gives `share` of its current from each instant on, in order; dark on mains. */
function steps(...levels: [number, number][]): LampModel {
  return (litMs) => {
    let share = 0;
    for (const [from, level] of levels) if (litMs >= from) share = level;
    return litMs < 0 ? 0 : BATTERY * share;
  };
}

const T0 = 1_000_000;
/** By now a lamp with its current is proven full. */
const PROVEN_MS = 63_000;
const DARK = '0,200,0,3600;';
const BURNING = '1,200,300,3600;';
/** Just below and exactly at what counts as lit by 5 s, and as full from 60 s on, mA. */
const EARLY = [99, 100];
const FULL = [139, 140];
/** Below and at a tenth of the current, mA: dark rather than slow. */
const TENTH = [19, 20];

/** A controller that is about to test these lamps. */
function prepared(lamps: string, kind = TestKind.Brief, limitMs = 120_000): Core {
  const s = newCore(1);
  if (!takeSettings(s.set, { ...SETTINGS, lamps })) throw new Error('These lamps are out of bounds.');
  s.kind = kind;
  s.limitMs = limitMs;
  s.t0 = T0;
  s.lastSampleAt = T0;
  clearJudgement(s);
  return s;
}

/** Takes the readings on mains, one row of lamps each, and concludes from them. */
function onMains(s: Core, ...readings: number[][]): Core {
  for (const reading of readings) {
    s.in.lamp.set(reading);
    lookOnMains(s);
  }
  concludeMains(s);
  return s;
}

/** One reading of all lamps, this long after the supply went off. */
function at(s: Core, elapsed: number, ...mA: number[]): Reason {
  s.in.lamp.set(mA);
  s.sampleAt = T0 + elapsed;
  return judgeSample(s, T0 + elapsed);
}

/** Readings of a lamp in order, [elapsed, mA]; between two of them the last one stays, four times a second. */
function follow(s: Core, ...readings: [number, number][]): Core {
  for (const [elapsed, mA] of readings) {
    const until = s.lastSampleAt - T0 < PROVEN_MS ? Math.min(elapsed, PROVEN_MS) : 0;
    for (let ms = s.lastSampleAt - T0 + 250; ms < until; ms += 250) at(s, ms, ...s.in.lamp);
    at(s, elapsed, mA);
  }
  return s;
}

/** As many equal readings, four times a second, from `elapsed` on. */
function held(s: Core, elapsed: number, count: number, mA: number): Core {
  for (let k = 0; k < count; k++) at(s, elapsed + k * 250, mA);
  return s;
}

/** One lamp that is dark on mains. */
function lamp(...readings: [number, number][]): Core {
  return follow(onMains(prepared(DARK), [0]), ...readings);
}

/** The same after it has proven good, up to 80 s. */
function wellLamp(offset = 0): Core {
  const s = onMains(prepared(DARK), [offset]);
  const lit = BATTERY + offset;
  return follow(s, [500, lit], [5000, lit], [60_000, lit], [80_000, lit]);
}

function judgementOf(s: Core, i = 0): number[] {
  return [s.verdict[i], s.why[i]];
}

const OPEN = [Verdict.Open, Reason.None];
const ENDED = [Verdict.Fail, Reason.EndedEarly];
const NOT_LIT = [Verdict.Fail, Reason.NotLitAtFiveSeconds];
const SLOW = [Verdict.Fail, Reason.SlowStart];
const NOT_FULL = [Verdict.Fail, Reason.NotFullAtSixtySeconds];
const STUCK = [Verdict.Void, Reason.SensorStuck];
const RANGE = [Verdict.Void, Reason.SensorRange];

describe('the 5 s and 60 s points', () => {
  it.each([
    ['lit at 4.9 s', steps([4900, 1]), [Verdict.Pass, Reason.None, 120]],
    ['dark until 5.5 s', steps([5500, 1]), [Verdict.Fail, Reason.NotLitAtFiveSeconds, 0]],
    ['never lit', steps(), [Verdict.Fail, Reason.NotLitAtFiveSeconds, 0]],
    ['glowing at 40 % by 5 s', steps([500, 0.4], [6000, 1]), [Verdict.Fail, Reason.SlowStart, 0]],
    ['a little above 50 % by 5 s', steps([500, 0.52], [30_000, 1]), [Verdict.Pass, Reason.None, 120]],
    ['at 60 % for good', steps([500, 0.6]), [Verdict.Fail, Reason.NotFullAtSixtySeconds, 0]],
    ['full from 59 s', steps([500, 0.6], [59_000, 0.9]), [Verdict.Pass, Reason.None, 120]],
    ['full from 65 s', steps([500, 0.6], [65_000, 1]), [Verdict.Fail, Reason.NotFullAtSixtySeconds, 0]],
    // What noise may do as well (docs/judging.md).
    ['full from 61 s', steps([500, 0.6], [61_000, 1]), [Verdict.Pass, Reason.None, 120]],
    ['a little above the floor', steps([500, 0.72]), [Verdict.Pass, Reason.None, 120]],
  ])('judge a lamp that is %s', (_name, lamp, expected) => {
    expect(first(judged(TestKind.Brief, lamp))).toEqual(expected);
  });

  it('are kept as evidence with the current at the end and the offset of the sensor', () => {
    const b = judged(TestKind.Brief, (ms) => 10 + steps([500, 0.6], [30_000, 0.9], [90_000, 0.8])(ms));
    const row = b.result().lamps[0];
    expect([row[ResultColumn.At5], row[ResultColumn.At60], row[ResultColumn.End]]).toEqual([120, 180, 160]);
    expect(row[ResultColumn.OnMains]).toBe(10);
    expect(row[ResultColumn.Lit]).toBe(120);
    expect([row[ResultColumn.Verdict], row[ResultColumn.Reason]]).toEqual([Verdict.Pass, Reason.None]);
    expect(row).toHaveLength(ResultColumn.Count);
  });

  it('are kept with the mean reading on mains where the lamp is lit there', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW + 300_000);
    expect(b.result().lamps.map((row) => row[ResultColumn.OnMains])).toEqual([0, 300, 300, 0]);
  });
});

describe('a fall of the current', () => {
  it.each([
    ['a dip of 1.5 s', steps([500, 1], [20_000, 0], [21_500, 1]), [Verdict.Pass, Reason.None, 120]],
    ['a dip of 3 s', steps([500, 1], [20_000, 0], [23_000, 1]), [Verdict.Fail, Reason.EndedEarly, 19]],
    [
      'many short dips',
      (ms: number) => (ms < 0 || (ms + 1500) % 3000 < 500 ? 0 : BATTERY),
      [Verdict.Pass, Reason.None, 120],
    ],
    ['dark in the last second', steps([500, 1], [119_500, 0]), [Verdict.Fail, Reason.EndedEarly, 119]],
    ['a fall to 65 % after 80 s', steps([500, 1], [80_000, 0.65]), [Verdict.Fail, Reason.EndedEarly, 80]],
    ['two seconds of light', steps([400, 1], [3000, 0]), [Verdict.Fail, Reason.EndedEarly, 2]],
    ['a flash of a second', steps([500, 1], [1500, 0]), [Verdict.Fail, Reason.NotLitAtFiveSeconds, 0]],
  ])('%s is judged', (_name, lamp, expected) => {
    expect(first(judged(TestKind.Brief, lamp))).toEqual(expected);
  });

  it('is not retried: a lamp that recovers later stays failed', () => {
    const b = judged(TestKind.Full, steps([500, 1], [600_000, 0], [700_000, 1]));
    expect(first(b).slice(0, 2)).toEqual([Verdict.Fail, Reason.EndedEarly]);
  });

  it('is timed to a second wherever in the full test it comes', () => {
    fc.assert(
      fc.property(fc.integer({ min: 3, max: 3599 }), (second) => {
        const [verdict, why, lit] = first(judged(TestKind.Full, lampOf(0, second * 1000)));
        expect([verdict, why]).toEqual([Verdict.Fail, Reason.EndedEarly]);
        expect(Math.abs(lit - second)).toBeLessThanOrEqual(1);
      }),
      { numRuns: runs(60) },
    );
  });

  it('is timed to a second after dips that have shifted the readings', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 200, max: 3599 }),
        fc.integer({ min: 61_000, max: 190_000 }),
        (second, dip) => {
          const lamp = steps([500, 1], [dip, 0], [dip + 1250, 1], [second * 1000, 0]);
          const [verdict, why, lit] = first(judged(TestKind.Full, lamp));
          expect([verdict, why]).toEqual([Verdict.Fail, Reason.EndedEarly]);
          expect(Math.abs(lit - second)).toBeLessThanOrEqual(1);
        },
      ),
      { numRuns: runs(40) },
    );
  });

  it('is drawn in the curve where it came, and the lit time before it within 2.5 % of the truth', () => {
    const b = judged(TestKind.Full, steps([500, 0.97], [1_800_000, 0]));
    const line = readLine(b.result().curves[0]);
    const percent = linePercent(line as NonNullable<typeof line>);
    expect([line?.bound, percent.length, b.result().grid]).toEqual([2.5, 361, 10]);
    for (const p of percent.slice(0, 180)) expect(Math.abs(p - 97)).toBeLessThanOrEqual(2.5);
    for (const p of percent.slice(180)) expect(p).toBeLessThanOrEqual(2.5);
  });
});

describe('lamps on mains', () => {
  const onMains =
    (mains: number, lit = BATTERY): LampModel =>
    (ms) =>
      // A real sensor always fluctuates.
      ms < 0 ? mains : ms < 400 ? 0 : lit + ((ms / 250) % 2);

  it.each([
    ['a non-maintained lamp that is lit', 0, onMains(200), [Verdict.Fail, Reason.LitOnMains]],
    ['a combined lamp that is lit', 3, onMains(200), [Verdict.Fail, Reason.LitOnMains]],
    ['a maintained lamp that is dark', 1, onMains(0), [Verdict.Fail, Reason.DarkOnMains]],
    ['a maintained lamp that is too dim', 1, onMains(200), [Verdict.Fail, Reason.DarkOnMains]],
    ['a switched maintained lamp that is dark', 2, onMains(0), [Verdict.Pass, Reason.None]],
    ['a switched maintained lamp that is lit', 2, onMains(300), [Verdict.Pass, Reason.None]],
  ])('%s is judged by its mode', (_name, mode, lamp, expected) => {
    const b = new Bench().planned(TestKind.Brief);
    b.lamps[mode] = lamp;
    b.run(IN_WINDOW + 300_000);
    expect(b.result().lamps[mode].slice(0, 2)).toEqual(expected);
    expect(b.result().lamps.filter((row) => row[0] === Verdict.Pass).length).toBeGreaterThanOrEqual(3);
  });

  it.each(allModes().map((mode) => ({ mode, word: MODE_WORDS[mode] })))(
    'a $word lamp is judged as the table of modes says',
    ({ mode }) => {
      const reason = (mains: number): number => {
        const lamp = { mode, batteryMilliamps: BATTERY, mainsMilliamps: 300, ratedSec: 3600 };
        const b = new Bench({ lamps: lampsText([lamp]) }).planned(TestKind.Brief);
        b.lamps = [onMains(mains)];
        return b.run(IN_WINDOW + 300_000).result().lamps[0][ResultColumn.Reason];
      };
      const asked = ON_MAINS[mode];
      expect([reason(0), reason(300)]).toEqual([
        asked === OnMains.Lit ? Reason.DarkOnMains : Reason.None,
        asked === OnMains.Dark ? Reason.LitOnMains : Reason.None,
      ]);
    },
  );

  it('a small offset of a dark lamp is removed, a large one means the sensor is not trusted', () => {
    const small = judged(TestKind.Brief, (ms) => 30 + lampOf(0)(ms));
    expect(small.result().lamps[0]).toEqual([Verdict.Pass, Reason.None, 120, 200, 200, 200, 30]);
    const large = judged(TestKind.Brief, (ms) => 50 + lampOf(0)(ms));
    expect(first(large).slice(0, 2)).toEqual([Verdict.Void, Reason.SensorOffset]);
    const negative = judged(TestKind.Brief, (ms) => -50 + lampOf(0)(ms));
    expect(first(negative).slice(0, 2)).toEqual([Verdict.Void, Reason.SensorOffset]);
  });

  it('a drifted sensor is distinguished from a lit lamp by how much the opening adds', () => {
    const drifted = judged(TestKind.Brief, (ms) => 180 + lampOf(0)(ms));
    expect(first(drifted).slice(0, 2)).toEqual([Verdict.Void, Reason.SensorOffset]);
    const burning = judged(TestKind.Brief, onMains(180, 200));
    expect(first(burning).slice(0, 2)).toEqual([Verdict.Fail, Reason.LitOnMains]);
  });

  it('an offset never hides a dead lamp as a pass', () => {
    fc.assert(
      fc.property(fc.integer({ min: -BATTERY, max: 3 * BATTERY }), (offset) => {
        expect(first(judged(TestKind.Brief, () => offset))[0]).not.toBe(Verdict.Pass);
      }),
      { numRuns: runs(60) },
    );
  });
});

describe('sensors', () => {
  it.each([Limit.RailLow, Limit.RailHigh])('at the rail %i void their lamp only', (rail) => {
    const b = judged(TestKind.Brief, () => rail);
    expect(b.result().lamps.map((row) => row.slice(0, 2))).toEqual([
      [Verdict.Void, Reason.SensorRange],
      [Verdict.Pass, Reason.None],
      [Verdict.Pass, Reason.None],
      [Verdict.Pass, Reason.None],
    ]);
    expect(b.result().end).toBe(Reason.Complete);
  });

  it('may touch the rail for a moment', () => {
    const b = judged(TestKind.Brief, (ms) => (ms >= 20_000 && ms < 20_500 ? Limit.RailHigh : lampOf(0)(ms)));
    expect(first(b)).toEqual([Verdict.Pass, Reason.None, 120]);
  });

  it('that all read the rail are a tester fault, and the test stays due', () => {
    const b = new Bench().planned(TestKind.Brief);
    b.lamps = b.lamps.map(() => () => Limit.RailHigh);
    b.run(IN_WINDOW + 300_000);
    expect(b.result().end).toBe(Reason.SensorRange);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.SensorRange]);
    expect(b.s.lastBriefUtc).toBe(0);
  });

  it('that are all untrusted make the test satisfy nothing', () => {
    const b = new Bench({ lamps: '0,200,0,3600;' }).planned(TestKind.Brief);
    b.lamps = [(ms) => 50 + lampOf(0)(ms)];
    b.run(IN_WINDOW + 300_000);
    expect(b.result().lamps[0].slice(0, 2)).toEqual([Verdict.Void, Reason.SensorOffset]);
    expect(b.s.lastBriefUtc).toBe(0);
  });
});

describe('a sensor that does not move by a milliampere when the supply goes off', () => {
  const still: LampModel = () => BATTERY;
  const EQUAL = { lamps: '1,200,200,3600;0,200,0,3600;' };
  const equal = (...lamps: LampModel[]): Bench => {
    const b = new Bench(EQUAL).planned(TestKind.Brief);
    b.lamps = lamps;
    return b.run(IN_WINDOW + 300_000);
  };

  it('voids its lamp, even one that draws the same on battery as on mains', () => {
    expect(first(equal(still, lampOf(0)))).toEqual([Verdict.Void, Reason.SensorStuck, 0]);
    expect(first(judged(TestKind.Brief, () => 180)).slice(0, 2)).toEqual([Verdict.Void, Reason.SensorStuck]);
  });

  it('moves enough by one milliampere, on mains or after', () => {
    const onMains: LampModel = (ms) => (ms < 0 ? BATTERY + 1 : BATTERY);
    const late: LampModel = (ms) => (ms >= 59_000 && ms < 59_300 ? BATTERY - 1 : BATTERY);
    expect(first(equal(onMains, lampOf(0)))).toEqual([Verdict.Pass, Reason.None, 120]);
    expect(first(equal(late, lampOf(0)))).toEqual([Verdict.Pass, Reason.None, 120]);
    const tooLate: LampModel = (ms) => (ms >= 60_000 ? BATTERY - 1 : BATTERY);
    expect(first(equal(tooLate, lampOf(0))).slice(0, 2)).toEqual([Verdict.Void, Reason.SensorStuck]);
  });

  it('does not void a dead lamp, which shows nothing before and after', () => {
    expect(first(judged(TestKind.Brief, () => 0)).slice(0, 2)).toEqual([
      Verdict.Fail,
      Reason.NotLitAtFiveSeconds,
    ]);
  });

  it('is a tester fault when it is every sensor', () => {
    const b = equal(still, still);
    expect([b.result().end, b.s.phase, b.s.reason]).toEqual([
      Reason.SensorStuck,
      Phase.Fault,
      Reason.SensorStuck,
    ]);
  });
});

describe('many lamps at once', () => {
  const ALL = [0, 1, 2, 3];

  it('dark from the start point to the tester: every lamp is void', () => {
    const b = new Bench().planned(TestKind.Brief);
    b.lamps = ALL.map((mode) => lampOf(mode, 0));
    b.run(IN_WINDOW + 60_000);
    expect(b.result().end).toBe(Reason.NoneLit);
    expect(b.result().lamps.map((row) => row.slice(0, 2))).toEqual(
      ALL.map(() => [Verdict.Void, Reason.NoneLit]),
    );
    expect(b.s.phase).toBe(Phase.Fault);
  });

  it('dark from the start are two broken lamps if there are only two', () => {
    const b = new Bench({ lamps: '0,200,0,3600;3,200,0,3600;' }).planned(TestKind.Brief);
    b.lamps = [lampOf(0, 0), lampOf(3, 0)];
    b.run(IN_WINDOW + 60_000);
    expect(b.result().end).toBe(Reason.AllDark);
    expect(b.result().lamps.map((row) => row[0])).toEqual([Verdict.Fail, Verdict.Fail]);
  });

  it('falling in the same reading point to the tester', () => {
    const b = new Bench().planned(TestKind.Full);
    b.lamps = ALL.map((mode) => lampOf(mode, mode === 3 ? undefined : 900_000));
    b.run(IN_WINDOW + RATED_MS);
    expect(b.result().end).toBe(Reason.Simultaneous);
    expect(b.result().lamps.every((row) => row[0] === Verdict.Void)).toBe(true);
  });

  it('falling one after the other are aged batteries', () => {
    const b = new Bench().planned(TestKind.Full);
    b.lamps = ALL.map((mode) => lampOf(mode, 900_000 + mode * 30_000));
    b.run(IN_WINDOW + RATED_MS);
    const r = b.result();
    expect(r.end).toBe(Reason.AllDark);
    expect(r.lamps.map((row) => row[1])).toEqual(ALL.map(() => Reason.EndedEarly));
    expect(r.seconds).toBeLessThan(1000);
    expect(b.s.lastLongUtc).toBeGreaterThan(0);
  });
});

it('passes a lamp of shorter rated duration at its own end, and judges it no further', () => {
  const b = new Bench({ lamps: '0,200,0,3600;0,200,0,1800;' }).planned(TestKind.Full);
  b.lamps = [lampOf(0), lampOf(0, 1_900_000)];
  b.run(IN_WINDOW + RATED_MS + 60_000);
  expect(b.result().lamps.map((row) => row.slice(0, 3))).toEqual([
    [Verdict.Pass, Reason.None, 3600],
    [Verdict.Pass, Reason.None, 1800],
  ]);
});

it('decides at its own end a lamp that goes out just after it, and one that went out just before', () => {
  fc.assert(
    fc.property(fc.integer({ min: 901, max: 3000 }), fc.integer({ min: -8, max: 8 }), (rated, quarters) => {
      const b = new Bench({ lamps: `0,200,0,3600;0,200,0,${rated};` }).planned(TestKind.Full);
      b.lamps = [lampOf(0), lampOf(0, rated * 1000 + quarters * 250)];
      b.run(IN_WINDOW + RATED_MS + 60_000);
      const [verdict, why, lit] = b.result().lamps[1];
      // A lamp that is dark in the very reading at its end is not proven lit there.
      if (quarters > 0) expect([verdict, why, lit]).toEqual([Verdict.Pass, Reason.None, rated]);
      else expect([verdict, why]).toEqual([Verdict.Fail, Reason.EndedEarly]);
    }),
    { numRuns: runs(60) },
  );
});

describe('the 5 s point', () => {
  it('takes a reading exactly at it, and decides in that reading, or the next where it is not clearly dark', () => {
    expect(judgementOf(lamp([4750, 0], [5000, BATTERY]))).toEqual(OPEN);
    expect(judgementOf(lamp([4750, 0], [5000, EARLY[0] / 2]))).toEqual(SLOW);
    expect(judgementOf(lamp([4750, 0], [5000, EARLY[0]]))).toEqual(OPEN);
    expect(judgementOf(lamp([4750, 0], [5000, EARLY[0]], [5250, EARLY[0]]))).toEqual(SLOW);
    expect(judgementOf(lamp([4750, 0], [5000, EARLY[0]], [5250, BATTERY]))).toEqual(OPEN);
    expect(judgementOf(lamp([4750, 0]))).toEqual(OPEN);
  });

  it('asks whether the lamp was lit by the last reading before it when there is none at it', () => {
    const dark = lamp([4750, 0]);
    at(dark, 5250, BATTERY);
    expect(judgementOf(dark)).toEqual(NOT_LIT);
    const lit = lamp([4500, 0], [4750, BATTERY]);
    at(lit, 5250, BATTERY);
    expect(judgementOf(lit)).toEqual(OPEN);
    // One lucky reading proves nothing: it is dark again.
    for (let ms = 5500; ms < 7000; ms += 250) at(lit, ms, 0);
    expect(judgementOf(lit)[0]).toBe(Verdict.Fail);
  });

  it('separates a dark lamp from a slow one at exactly a tenth of its current', () => {
    expect(judgementOf(lamp([5000, TENTH[0]]))).toEqual(NOT_LIT);
    expect(judgementOf(lamp([5000, TENTH[1]]))).toEqual(SLOW);
  });

  it.each([
    ['the reading at it', 5000, 170, 170],
    ['the last one before it, not the first after', 5250, 170, 150],
    ['the last one before a sensor at its lower rail', 5000, Limit.RailLow, 150],
    ['the last one before a sensor at its upper rail', 5000, Limit.RailHigh, 150],
  ])('keeps as evidence %s', (_name, elapsed, reading, kept) => {
    expect(lamp([4750, 150], [elapsed, reading]).at5[0]).toBe(kept);
  });

  it('keeps the current without the offset of the sensor', () => {
    const s = onMains(prepared(DARK), [30]);
    expect(follow(s, [4750, 180], [5000, 210]).at5[0]).toBe(180);
  });
});

describe('the 60 s point', () => {
  const DIM = EARLY[1] + 10;
  const upTo60: [number, number][] = [
    [500, DIM],
    [59_750, DIM],
  ];

  it('is decided by the readings after it, and by none of them alone', () => {
    const dim = lamp(...upTo60, [60_000, DIM]);
    expect(judgementOf(held(dim, 60_250, 9, DIM))).toEqual(OPEN);
    expect(judgementOf(held(dim, 62_500, 1, DIM))).toEqual(NOT_FULL);
    const full = lamp(...upTo60, [60_000, BATTERY]);
    expect(judgementOf(held(full, 60_250, 4, BATTERY))).toEqual(OPEN);
    expect(full.quick[0]).toBe(Limit.RailHigh);
    held(full, 61_250, 1, BATTERY);
    expect([judgementOf(full), full.marks[0], full.quick[0]]).toEqual([OPEN, 0, FULL[1]]);
  });

  it('has no verdict of its own for a lamp that falls only after it', () => {
    const flash = lamp(...upTo60, [60_000, BATTERY]);
    expect(judgementOf(held(flash, 60_250, 20, DIM))).toEqual(ENDED);
    expect(flash.litSec[0]).toBe(60);
  });

  it('leaves a lamp that is dark for less than two seconds after it its time to prove full', () => {
    const s = held(lamp([500, BATTERY], [60_000, BATTERY]), 60_250, 7, 0);
    expect(judgementOf(held(s, 62_000, 20, BATTERY))).toEqual(OPEN);
    expect(s.marks[0]).toBe(0);
    expect(judgementOf(held(lamp([500, BATTERY], [60_000, BATTERY]), 60_250, 8, 0))).toEqual(ENDED);
  });

  it.each([
    ['the reading at it', 60_000, 170, 170],
    ['the last one before it, not the first after', 60_250, 170, 150],
    ['the last one before a sensor at its lower rail', 60_000, Limit.RailLow, 150],
    ['the last one before a sensor at its upper rail', 60_000, Limit.RailHigh, 150],
  ])('keeps as evidence %s', (_name, elapsed, reading, kept) => {
    const s = lamp([500, BATTERY], [5000, BATTERY], [59_750, 150], [elapsed, reading]);
    expect(s.at60[0]).toBe(kept);
  });

  it('requires the full current from then on', () => {
    const s = held(wellLamp(), 80_250, 20, EARLY[1]);
    expect(judgementOf(held(s, 85_250, 20, EARLY[1]))).toEqual(ENDED);
    expect(s.litSec[0]).toBe(80);
  });
});

describe('a fall', () => {
  it('is a dip one reading short of its longest, and the end of duration exactly there', () => {
    const s = held(wellLamp(), 80_250, 8, 0);
    expect(judgementOf(s)).toEqual(OPEN);
    expect(s.dips).toBe(1);
    at(s, 80_250 + Limit.DipMs, 0);
    expect(judgementOf(s)).toEqual(ENDED);
    expect(s.litSec[0]).toBe(80);
  });

  it('begins below the level, also where an offset is removed', () => {
    for (const offset of [0, 30, -30]) {
      const below = held(wellLamp(offset), 90_000, 126, FULL[0] + offset - 9);
      expect(judgementOf(below)).toEqual(ENDED);
      const level = held(wellLamp(offset), 90_000, 100, FULL[1] + offset);
      expect(judgementOf(level)).toEqual(OPEN);
      expect(level.ma[0]).toBe(FULL[1]);
    }
  });

  it('of a lamp that flickers is told from one that goes out, by light in between', () => {
    const flicker = wellLamp();
    for (let k = 0; k < 40; k++) at(flicker, 90_000 + 250 * k, k % 4 ? 0 : BATTERY);
    expect(judgementOf(flicker)).toEqual([Verdict.Fail, Reason.Flickers]);
    expect(flicker.litSec[0]).toBe(90);
    const seldom = wellLamp();
    for (let k = 0; k < 100; k++) at(seldom, 90_000 + 250 * k, k % 4 ? BATTERY : 0);
    expect(judgementOf(seldom)).toEqual(OPEN);
  });

  it('also ends a lamp that was never full', () => {
    const dim = held(lamp([500, 120], [19_750, 120]), 20_000, 9, 0);
    expect(judgementOf(dim)).toEqual(ENDED);
    expect(dim.litSec[0]).toBe(19);
    expect(judgementOf(held(lamp([500, 120], [19_750, 120]), 20_000, 8, 0))).toEqual(OPEN);
  });

  it('needs no closer look at a lamp that is good or decided, but one at any other', () => {
    const s = lamp([500, EARLY[1]], [4750, EARLY[1]]);
    expect(s.quick[0]).toBe(Limit.RailHigh);
    expect(wellLamp(30).quick[0]).toBe(FULL[1] + 30);
    const ended = held(wellLamp(), 90_000, 9, 0);
    expect(ended.quick[0]).toBe(Limit.UnheardLast + 1);
    // The readings of a decided lamp are still reported.
    at(ended, 94_000, 17);
    expect(ended.ma[0]).toBe(17);
  });
});

describe('a sensor at the rail', () => {
  it.each([Limit.RailLow, Limit.RailHigh])('at %i is given up in the third reading in a row', (rail) => {
    const s = follow(wellLamp(), [82_000, rail], [84_000, rail]);
    expect(judgementOf(s)).toEqual(OPEN);
    expect(judgementOf(follow(s, [86_000, rail]))).toEqual(RANGE);
    const back = follow(wellLamp(), [82_000, rail], [84_000, rail], [86_000, BATTERY], [88_000, rail]);
    expect(judgementOf(back)).toEqual(OPEN);
    expect(back.ma[0]).toBe(BATTERY);
  });

  it('once on mains is not trusted, whatever the other readings say', () => {
    const s = onMains(prepared(DARK + DARK), [Limit.RailHigh, 0], [BATTERY, 0], [BATTERY, 0], [BATTERY, 0]);
    for (let ms = 500; ms <= PROVEN_MS; ms += 250) at(s, ms, BATTERY, BATTERY - 1);
    at(s, 120_000, BATTERY, BATTERY - 1);
    closeJudgement(s, Reason.Complete);
    expect([judgementOf(s), judgementOf(s, 1)]).toEqual([RANGE, PASS]);
  });

  it('at the rail until the full time leaves its lamp without a verdict, while an abort gives its own reason', () => {
    const s = follow(wellLamp(), [119_750, Limit.RailHigh], [120_000, Limit.RailHigh]);
    closeJudgement(s, Reason.Complete);
    expect(judgementOf(s)).toEqual(RANGE);
    const aborted = wellLamp();
    closeJudgement(aborted, Reason.Outage);
    expect(judgementOf(aborted)).toEqual([Verdict.Void, Reason.Outage]);
  });
});

describe('a sensor that never moves', () => {
  const still = (mA: number, ...later: [number, number][]): Core =>
    follow(onMains(prepared('2,200,200,3600;'), [mA]), [500, mA], [5000, mA], [59_750, mA], ...later);

  it('has moved if one reading on mains differed, even if it went back', () => {
    const s = onMains(prepared('1,200,200,3600;'), [200], [201], [200], [200]);
    follow(s, [500, 200], [60_000, 200], [120_000, 200]);
    expect(judgementOf(s)).toEqual(PASS);
  });

  it('until 60 s stays untrusted even if it moves in the first reading after', () => {
    expect(judgementOf(still(200, [60_250, 199]))).toEqual(STUCK);
    expect(judgementOf(still(200, [60_000, 199], [60_250, 199]))).toEqual(STUCK);
    const late = held(still(200), 60_250, 2, 199);
    expect(judgementOf(late)).toEqual(STUCK);
  });

  it('is untrusted with a tenth of the current; with less, its lamp has gone out', () => {
    expect(judgementOf(still(200, [60_000, TENTH[1]], [60_250, TENTH[1]]))).toEqual(STUCK);
    expect(judgementOf(held(still(200), 60_000, 9, TENTH[0]))).toEqual(ENDED);
  });

  it('is untrusted, rather than its lamp too dim, unless it has moved or shows a dark lamp', () => {
    expect(judgementOf(still(FULL[0], [60_000, FULL[0]], [60_250, FULL[0]]))).toEqual(STUCK);
    const moved = still(FULL[0], [59_875, FULL[0] - 1], [60_000, FULL[0]]);
    expect(judgementOf(held(moved, 60_250, 300, FULL[0]))).toEqual(NOT_FULL);
    expect(judgementOf(held(still(FULL[0]), 60_000, 9, TENTH[0]))).toEqual(ENDED);
  });
});

describe('a sensor on mains', () => {
  /** Its lamp after a test in which it gave `mA` throughout. */
  const tested = (lamps: string, mains: number, mA: number): number[] => {
    const s = onMains(prepared(lamps), [mains]);
    follow(s, [500, mA], [5000, mA], [59_750, mA + 1], [60_000, mA], [120_000, mA]);
    closeJudgement(s, Reason.Complete);
    return [...judgementOf(s), s.zero[0]];
  };

  it('may be off by exactly its share of the current, in either direction', () => {
    expect(tested(DARK, 40, 240)).toEqual([...PASS, 40]);
    expect(tested(DARK, -40, 160)).toEqual([...PASS, -40]);
    expect(tested(DARK, 41, 241)).toEqual([Verdict.Void, Reason.SensorOffset, 41]);
    expect(tested(DARK, -41, 159)).toEqual([Verdict.Void, Reason.SensorOffset, -41]);
  });

  it('shows a dark lamp to be lit exactly from the floor on', () => {
    expect(tested(DARK, FULL[1], BATTERY)).toEqual([Verdict.Fail, Reason.LitOnMains, 0]);
    expect(tested(DARK, FULL[0], BATTERY + FULL[0])).toEqual([Verdict.Void, Reason.SensorOffset, FULL[0]]);
  });

  it('shows a maintained lamp to be dark one step below the floor of its current on mains', () => {
    expect(tested(BURNING, 210, BATTERY)).toEqual([...PASS, 0]);
    expect(tested(BURNING, 209, BATTERY)).toEqual([Verdict.Fail, Reason.DarkOnMains, 0]);
  });

  it('has drifted when the opening adds exactly what a lamp must give at 5 s, else its lamp is lit', () => {
    expect(tested(DARK, 150, 150 + EARLY[1])).toEqual([Verdict.Void, Reason.SensorOffset, 0]);
    expect(tested(DARK, 150, 150 + EARLY[0])).toEqual([Verdict.Fail, Reason.LitOnMains, 0]);
  });

  it('that shows a wrong state changes no verdict but a pass', () => {
    const s = onMains(prepared(BURNING), [0]);
    held(follow(s, [500, BATTERY], [5000, BATTERY], [60_000, BATTERY]), 80_000, 9, 0);
    closeJudgement(s, Reason.AllDark);
    expect(judgementOf(s)).toEqual(ENDED);
    const open = follow(onMains(prepared(BURNING), [0]), [500, BATTERY]);
    closeJudgement(open, Reason.Outage);
    expect(judgementOf(open)).toEqual([Verdict.Void, Reason.Outage]);
  });
});

describe('a test that ends before the points', () => {
  it('keeps the last readings taken as those at the points, and none that come later', () => {
    const s = lamp([500, 0], [3000, 170]);
    s.in.lamp[0] = 90;
    closeJudgement(s, Reason.Outage);
    expect([s.at5[0], s.at60[0]]).toEqual([170, 170]);
    const later = lamp([4750, 150], [5000, 160], [30_000, 170]);
    s.in.lamp[0] = 90;
    closeJudgement(later, Reason.Outage);
    expect([later.at5[0], later.at60[0]]).toEqual([160, 170]);
    const whole = wellLamp();
    at(whole, 90_000, 170);
    closeJudgement(whole, Reason.Outage);
    expect([whole.at5[0], whole.at60[0], whole.ma[0]]).toEqual([200, 200, 170]);
  });
});

describe('lamps that go out in one reading', () => {
  /** The verdict on `count` lamps of which `ending` go out together, after `gone` others. */
  const together = (count: number, ending: number, gone = 0): Reason => {
    const s = onMains(prepared(DARK.repeat(count)), Array(count).fill(0));
    const lit = (dark: number) => Array.from({ length: count }, (_, i) => (i < dark ? 0 : BATTERY));
    for (let ms = 500; ms <= 60_000; ms += 250) at(s, ms, ...lit(0));
    for (let ms = 70_000; ms <= 72_000; ms += 250) at(s, ms, ...lit(gone));
    for (let ms = 80_000; ms < 82_000; ms += 250) at(s, ms, ...lit(gone + ending));
    return at(s, 82_000, ...lit(gone + ending));
  };

  it('point to the tester when they are half of those still open, and at least three', () => {
    expect(together(6, 3)).toBe(Reason.Simultaneous);
    expect(together(7, 3)).toBe(Reason.None);
    expect(together(4, 2)).toBe(Reason.None);
    // Those that went out before do not count.
    expect(together(7, 3, 1)).toBe(Reason.Simultaneous);
  });
});

describe('lamps that do not light', () => {
  /** The verdict at 5 s, and on each lamp after the end, when the first `dark` of `count` lamps are dark. */
  const unlit = (count: number, dark: number): [Reason, number[]] => {
    const s = onMains(prepared(DARK.repeat(count)), Array(count).fill(0));
    const readings = Array.from({ length: count }, (_, i) => (i < dark ? 0 : BATTERY));
    expect(at(s, 4750, ...readings)).toBe(Reason.None);
    const said = at(s, 5000, ...readings);
    closeJudgement(s, said === Reason.None ? Reason.Outage : said);
    return [said, Array.from(s.why.subarray(0, count))];
  };

  it('point to the tester only when they are all, and at least three', () => {
    expect(unlit(3, 3)).toEqual([Reason.NoneLit, Array(3).fill(Reason.NoneLit)]);
    expect(unlit(2, 2)).toEqual([Reason.AllDark, Array(2).fill(Reason.NotLitAtFiveSeconds)]);
    const broken = Array(3).fill(Reason.NotLitAtFiveSeconds);
    expect(unlit(4, 3)).toEqual([Reason.None, [...broken, Reason.Outage]]);
  });

  it('say what is wrong with the sensors when no lamp could be judged', () => {
    const s = onMains(prepared(DARK), [0]);
    const said = [500, 750, 1000].map((elapsed) => at(s, elapsed, Limit.RailLow));
    expect(said).toEqual([Reason.None, Reason.None, Reason.SensorRange]);
  });
});

describe('lamps of several rated durations', () => {
  const TWO = '0,200,0,1800;0,200,0,3600;';
  const running = (lamps: string): Core => {
    const s = onMains(prepared(lamps, TestKind.Full, 3_600_000), [0, 0]);
    for (let ms = 500; ms <= PROVEN_MS; ms += 250) at(s, ms, BATTERY, BATTERY);
    at(s, 1_799_750, BATTERY, BATTERY);
    return s;
  };

  it.each([
    ['first', TWO, 0],
    ['last', '0,200,0,3600;0,200,0,1800;', 1],
  ])('pass each in the reading at its own end, the shortest listed %s', (_name, lamps, short) => {
    const s = running(lamps);
    expect([judgementOf(s, short), s.nextEndMs]).toEqual([OPEN, 1_800_000]);
    at(s, 1_800_000, BATTERY, BATTERY);
    expect([judgementOf(s, short), s.litSec[short]]).toEqual([PASS, 1800]);
    expect([judgementOf(s, 1 - short), s.nextEndMs]).toEqual([OPEN, 3_600_000]);
    at(s, 3_599_750, BATTERY, BATTERY);
    expect(judgementOf(s, 1 - short)).toEqual(OPEN);
    expect(at(s, 3_600_000, BATTERY, BATTERY)).toBe(Reason.AllDark);
    expect(judgementOf(s, 1 - short)).toEqual(PASS);
  });

  it('continue their curves after the end of the shortest', () => {
    const s = running(TWO);
    for (const elapsed of [1_800_000, 1_802_000, 2_500_000, 2_502_000]) at(s, elapsed, BATTERY, BATTERY);
    expect(s.curveNext).toBe(Math.floor(2_500_000 / 10_000) + 1);
  });

  it('do not wait for the end of one that has already gone out', () => {
    const s = running(TWO);
    for (let k = 0; k <= 8; k++) at(s, 1_799_800 + k * 250, 0, BATTERY);
    expect([judgementOf(s), judgementOf(s, 1), s.nextEndMs]).toEqual([ENDED, OPEN, 3_600_000]);
  });
});
