// What the readings on mains say about a lamp after its test. All limits here are common practice, no source.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { runs } from '../../support/depth';
import { BATTERY, Bench, IN_WINDOW, type LampModel, lampOf, PASS } from './bench';

/** Verdict and reason of a lamp beside a sound one, given as in the settings; it has fluctuating readings. */
function verdictOf(row: string, lamp: LampModel, kind = TestKind.Brief): number[] {
  const b = new Bench({ lamps: `${row};0,200,0,3600;` }).planned(kind);
  let turn = 0;
  b.lamps = [(ms) => lamp(ms) + (turn++ % 2), lampOf(0)];
  b.run(IN_WINDOW + (kind === TestKind.Full ? 3_600_000 : 0) + 300_000);
  return b.result().lamps[0].slice(0, 2);
}

/** A lamp that draws `mains` until the supply goes off, and from then on what `battery` says. */
const supplied =
  (mains: number, battery: (ms: number) => number): LampModel =>
  (ms) =>
    ms < 0 ? mains : battery(ms);

const NOT_LIT = [Verdict.Fail, Reason.NotLitAtFiveSeconds];
const ENDED = [Verdict.Fail, Reason.EndedEarly];
const OFFSET = [Verdict.Void, Reason.SensorOffset];

describe('a lamp that should be dark on mains and glows there', () => {
  const GLOWING = '0,200,0,3600';
  const kinds = [TestKind.Brief, TestKind.Full];

  it.each(kinds)('fails if it is dead on battery: what it read on mains was no offset (kind %i)', (kind) => {
    expect(
      verdictOf(
        GLOWING,
        supplied(80, () => 0),
        kind,
      ),
    ).toEqual(NOT_LIT);
    expect(
      verdictOf(
        GLOWING,
        supplied(138, () => 0),
        kind,
      ),
    ).toEqual(NOT_LIT);
    expect(
      verdictOf(
        GLOWING,
        supplied(42, () => 18),
        kind,
      ),
    ).toEqual(NOT_LIT);
  });

  it('fails if it goes out within the first minute, or before its time is up', () => {
    const until = (endMs: number) => supplied(50, (ms) => (ms < endMs ? BATTERY : 0));
    expect(verdictOf(GLOWING, until(20_000))).toEqual(ENDED);
    expect(verdictOf(GLOWING, until(100_000))).toEqual(ENDED);
    expect(verdictOf(GLOWING, until(2_400_000), TestKind.Full)).toEqual(ENDED);
  });

  it('stays untested while it is lit on battery, and where its own time is over before it goes out', () => {
    for (const glow of [42, 80, 138])
      expect(
        verdictOf(
          GLOWING,
          supplied(glow, () => BATTERY),
        ),
      ).toEqual(OFFSET);
    const shorter = supplied(80, (ms) => (ms < 3_000_000 ? BATTERY : 0));
    expect(verdictOf('0,200,0,1800', shorter, TestKind.Full)).toEqual(OFFSET);
  });

  it('stays untested where the reading stays, or is still more than about nothing', () => {
    for (const reading of [80, 40, 21])
      expect(
        verdictOf(
          GLOWING,
          supplied(80, () => reading),
        ),
      ).toEqual(OFFSET);
    expect(
      verdictOf(
        GLOWING,
        supplied(-80, () => -80),
      ),
    ).toEqual(OFFSET);
    // A sensor that reads too little on mains and nothing after it: it has moved by itself.
    expect(
      verdictOf(
        GLOWING,
        supplied(-80, () => 0),
      ),
    ).toEqual(OFFSET);
  });

  it('never passes, whatever it reads', () => {
    const reading = fc.integer({ min: -BATTERY, max: 2 * BATTERY });
    fc.assert(
      fc.property(fc.integer({ min: 42, max: 138 }), reading, (glow, mA) => {
        expect(
          verdictOf(
            GLOWING,
            supplied(glow, () => mA),
          )[0],
        ).not.toBe(Verdict.Pass);
      }),
      { numRuns: runs(60) },
    );
  });
});

describe('a lamp that stays on mains when the supply is cut', () => {
  const STAYED = [Verdict.Void, Reason.StayedOnMains];
  const DIM = [Verdict.Fail, Reason.NotFullAtSixtySeconds];
  const always = (mA: number) => supplied(mA, () => mA);
  /** A maintained lamp with these currents on battery and on mains, mA. */
  const lit = (battery: number, mains: number, mode = 1): string => `${mode},${battery},${mains},3600`;

  it.each([TestKind.Brief, TestKind.Full])('is not tested and does not pass (kind %i)', (kind) => {
    expect(verdictOf(lit(200, 300), always(300), kind)).toEqual(STAYED);
    expect(verdictOf(lit(200, 300, 2), always(300), kind)).toEqual(STAYED);
    expect(verdictOf(lit(200, 400), always(400), kind)).toEqual(STAYED);
    // Aged and noisy, but the same before and after.
    expect(
      verdictOf(
        lit(200, 300),
        supplied(330, (ms) => 315 + (ms % 30)),
        kind,
      ),
    ).toEqual(STAYED);
    expect(verdictOf(lit(200, 160), always(160), kind)).toEqual(STAYED);
    expect(verdictOf(lit(50, 63), always(63), kind)).toEqual(STAYED);
  });

  it('has changed by less than half of what it should, at 5 s, at 60 s and at the end', () => {
    const to = (mA: number) => supplied(290, () => mA);
    expect(verdictOf(lit(200, 290), to(246))).toEqual(STAYED);
    expect(verdictOf(lit(200, 290), to(244))).toEqual(PASS);
    const lateBy = (endMs: number, mA: number) => supplied(290, (ms) => (ms < endMs ? 290 : mA));
    for (const endMs of [4900, 59_900, 119_500])
      expect(verdictOf(lit(200, 290), lateBy(endMs, BATTERY))).toEqual(PASS);
    const until5 = supplied(290, (ms) => (ms > 4900 && ms < 5200 ? BATTERY : 290));
    expect(verdictOf(lit(200, 290), until5)).toEqual(PASS);
  });

  it('cannot be told where its currents differ by less than a fifth, or what it read on mains was its battery', () => {
    expect(verdictOf(lit(200, 240), always(240))).toEqual(PASS);
    expect(verdictOf(lit(200, 251), always(251))).toEqual(STAYED);
    expect(verdictOf(lit(200, 170), always(170))).toEqual(PASS);
    // Dim on mains, and nearly as commissioned on battery.
    expect(verdictOf(lit(200, 300), always(228))).toEqual(PASS);
    expect(verdictOf(lit(200, 300), always(231))).toEqual(STAYED);
    expect(verdictOf(lit(200, 400), always(285))).toEqual(STAYED);
  });

  it('is told from a sensor that reads too much of either by the same amount', () => {
    for (const offset of [-40, 40, 90])
      expect(
        verdictOf(
          lit(200, 300),
          supplied(300 + offset, () => 200 + offset),
        ),
      ).toEqual(PASS);
  });

  it('changes no verdict but a pass', () => {
    expect(verdictOf(lit(200, 120), always(120))).toEqual(DIM);
    expect(verdictOf(lit(200, 300), always(0))).toEqual([Verdict.Fail, Reason.NotLitAtFiveSeconds]);
    expect(
      verdictOf(
        lit(200, 300),
        supplied(300, (ms) => (ms < 90_000 ? 300 : 0)),
      ),
    ).toEqual(ENDED);
  });

  it('is none that is dark on mains by its switch', () => {
    expect(
      verdictOf(
        lit(200, 300, 2),
        supplied(0, () => BATTERY),
      ),
    ).toEqual(PASS);
  });
});

describe('a lamp that draws more on battery than it was commissioned with', () => {
  const TOO_MUCH = [Verdict.Void, Reason.TooMuchCurrent];
  const lamp = (mA: (ms: number) => number, mode = 0) =>
    verdictOf(`${mode},200,${mode === 0 ? 0 : 300},3600`, supplied(mode === 0 ? 0 : 300, mA));

  it.each([0, 1])('does not pass above one and a half times of it (mode %i)', (mode) => {
    expect(lamp(() => 302, mode)).toEqual(mode === 0 ? TOO_MUCH : [Verdict.Void, Reason.StayedOnMains]);
    expect(lamp(() => 400, mode)).toEqual(TOO_MUCH);
    expect(lamp(() => 249, mode)).toEqual(PASS);
  });

  it('is told by two of its readings at 5 s, at 60 s and at the end, because one may be noise', () => {
    const between = (from: number, to: number, mA: number) => (ms: number) =>
      ms >= from && ms < to ? mA : BATTERY;
    expect(lamp(between(0, 59_500, 500))).toEqual(PASS);
    expect(lamp(between(59_500, 61_000, 500))).toEqual(PASS);
    expect(lamp(between(119_500, 999_999, 500))).toEqual(PASS);
    expect(lamp(between(0, 61_000, 302))).toEqual(TOO_MUCH);
    expect(lamp(between(59_500, 999_999, 302))).toEqual(TOO_MUCH);
    expect(lamp(between(0, 61_000, 299))).toEqual(PASS);
    expect(lamp(between(59_500, 999_999, 299))).toEqual(PASS);
  });

  it('is not told from noise below 45 mA more', () => {
    const small = (mA: number) =>
      verdictOf(
        '0,50,0,3600',
        supplied(0, () => mA),
      );
    expect([small(95), small(96)]).toEqual([PASS, TOO_MUCH]);
  });

  it('still fails if it went out, or is lit on mains when it should be dark', () => {
    expect(lamp((ms) => (ms < 90_000 ? 400 : 0))).toEqual(ENDED);
    expect(
      verdictOf(
        '0,200,0,3600',
        supplied(450, () => 450),
      ),
    ).toEqual([Verdict.Fail, Reason.LitOnMains]);
  });
});
