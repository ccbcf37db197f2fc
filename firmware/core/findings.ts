// What a lamp's readings on mains say about the verdict it has earned on battery. Applied once, when the test
// is over: a finding may turn a pass into a fail or make a verdict void, and never makes a pass. All in one
// function, because each function takes memory.
import { Reason, TestKind, Verdict } from '../contract/codes';
import { LampColumn } from '../contract/lamps';
import { Limit } from '../contract/limits';
import { requiredSec } from './settings';
import type { Core } from './state';

/**
 * A dark lamp's sensor that reads as lit: if the reading rises by a lamp's worth on battery, the lamp was
 * dark and the sensor has drifted; if it does not, the lamp was lit.
 */
function isDrift(s: Core, i: number, battery: number): boolean {
  return (s.at5[i] - s.sum[i]) * 100 >= s.set.earlyPercent * battery;
}

/** Applies to every verdict what was found on mains. A lamp with nothing to find takes few statements. */
export function applyFindings(s: Core): void {
  const lamps = s.set.lamps;
  for (let i = 0; i < s.set.lampCount; i++) {
    const row = i * LampColumn.Count;
    const battery = lamps[row + LampColumn.Battery];
    const verdict = s.verdict[i];
    let finding = s.finding[i];
    if (finding === Reason.None) {
      if (verdict !== Verdict.Pass) continue;
      const mains = lamps[row + LampColumn.Mains];
      const onMains = s.sum[i];
      const at60 = s.at60[i];
      const apart = Math.abs(mains - battery);
      if (mains > 0 && Math.abs(at60 - onMains) * 2 < apart) {
        // What a lamp lit on mains should change by: it stayed there if it has not changed by half of that.
        // Where the two are close together, as commissioned or as read on mains, nobody can tell.
        const change = Math.min(apart, Math.abs(onMains - battery));
        const changed = Math.max(Math.abs(s.at5[i] - onMains), Math.abs(s.ma[i] - onMains));
        const isTold =
          apart * 100 >= Limit.ApartPercent * Math.max(mains, battery) &&
          change * 100 >= Limit.ChangePercent * battery;
        if (isTold && Math.max(changed, Math.abs(at60 - onMains)) * 2 < change)
          finding = Reason.StayedOnMains;
      }
      const most = battery + Math.max((Limit.MorePercent * battery) / 100, Limit.MoreMilliamps);
      let over = at60 > most ? 1 : 0;
      if (s.at5[i] > most) over++;
      if (s.ma[i] > most) over++;
      if (finding === Reason.None && over > 1) finding = Reason.TooMuchCurrent;
      if (finding === Reason.None) continue;
    }
    if (finding === Reason.LitOnMains && isDrift(s, i, battery)) finding = Reason.SensorOffset;
    if (finding === Reason.SensorOffset && verdict === Verdict.Fail && s.zero[i] > 0) {
      // Nothing is left of it on battery: it was no offset, the lamp glowed on mains and is dark on battery.
      const zero = s.zero[i];
      let least = Math.min(Math.abs(s.at5[i] + zero), Math.abs(s.at60[i] + zero));
      // The last reading is of the lamp's own time only if that ends with the test.
      const rated = lamps[row + LampColumn.Rated];
      if (s.kind === TestKind.Brief || requiredSec(s.set, s.kind, rated) * 1000 >= s.limitMs)
        least = Math.min(least, Math.abs(s.ma[i] + zero));
      if (least * 100 < Limit.DarkPercent * battery) continue;
    }
    if (finding < Reason.StayedOnMains && verdict !== Verdict.Pass) continue;
    s.verdict[i] = finding < Reason.StayedOnMains ? Verdict.Fail : Verdict.Void;
    s.why[i] = finding;
  }
}
