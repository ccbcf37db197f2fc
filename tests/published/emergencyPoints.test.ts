// Source: EN 1838:2013 and IEC 60598-2-22 (with A1:2020): on an escape route 50 % of the required light
// within 5 s and all of it within 60 s, then to the end of the rated duration. Read in secondary
// restatements (a trade text and the German edition's summary), not in the standards. Lamp current stands
// for light here; the report says so.
import { describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { clearJudgement, judgeSample } from '../../firmware/core/judgement';
import { takeSettings } from '../../firmware/core/settings';
import { newCore } from '../../firmware/core/state';
import { SETTINGS } from '../firmware/core/bench';

/** One lamp of 200 mA, read every 250 ms; gives its verdict and reason after `untilMs`. */
function judge(milliamps: (ms: number) => number, untilMs: number): number[] {
  const s = newCore(1);
  takeSettings(s.set, { ...SETTINGS, lamps: '0,200,0,3600;', floorPercent: 100 });
  s.kind = TestKind.Brief;
  s.limitMs = 120_000;
  clearJudgement(s);
  for (let ms = 250; ms <= untilMs; ms += 250) {
    s.in.lamp[0] = milliamps(ms);
    s.sampleAt = ms;
    judgeSample(s, ms);
  }
  return [s.verdict[0], s.why[0]];
}

describe('the points of EN 1838 and IEC 60598-2-22', () => {
  it('are at 5 s and 60 s', () => {
    expect([Limit.EarlyPointMs, Limit.FullPointMs]).toEqual([5000, 60_000]);
  });

  it('half the output at 5 s is enough there, and less is not', () => {
    expect(judge((ms) => (ms >= 5000 ? 100 : 0), 5000)).toEqual([Verdict.Open, Reason.None]);
    expect(judge((ms) => (ms >= 5000 ? 99 : 0), 5250)).toEqual([Verdict.Fail, Reason.SlowStart]);
    expect(judge((ms) => (ms >= 5250 ? 200 : 0), 6000)).toEqual([Verdict.Fail, Reason.NotLitAtFiveSeconds]);
  });

  it('all of the output at 60 s is enough there, and less is not', () => {
    // Until the 2 s are over in which a doubt at the end has time to clear up.
    expect(judge((ms) => (ms >= 60_000 ? 200 : 100), 122_000)).toEqual([Verdict.Pass, Reason.None]);
    expect(judge((ms) => (ms >= 60_000 ? 199 : 100), 122_000)).toEqual([
      Verdict.Fail,
      Reason.NotFullAtSixtySeconds,
    ]);
  });

  it('all of the output is required from 60 s to the end', () => {
    expect(judge((ms) => (ms < 90_000 ? 206 : 150), 120_000)).toEqual([Verdict.Fail, Reason.EndedEarly]);
    expect(judge(() => 200, 122_000)).toEqual([Verdict.Pass, Reason.None]);
  });
});
