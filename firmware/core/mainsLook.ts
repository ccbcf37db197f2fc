// The look on mains before the relay opens: zero offsets, and lamps in the wrong state.
import { Reason } from '../contract/codes';
import { LampColumn, type Mode, ON_MAINS, OnMains } from '../contract/lamps';
import { Limit } from '../contract/limits';
import { column, isNone, Mark, noneReason } from './judgement';
import type { Core } from './state';

/** One reading of every lamp on mains, before the relay opens. */
export function lookOnMains(s: Core): void {
  s.preCount++;
  for (let i = 0; i < s.set.lampCount; i++) {
    const raw = s.in.lamp[i];
    // Until the 60 s point is reached, `at60` holds the first reading.
    if (s.preCount === 1) s.at60[i] = raw;
    if (isNone(raw)) s.finding[i] = noneReason(raw);
    else if (s.finding[i] === Reason.None) {
      s.sum[i] += raw;
      if (s.preCount <= Limit.PreSamples) s.noise += Math.abs(raw - s.at60[i]);
    }
    if (raw !== s.at60[i]) s.marks[i] &= ~Mark.Still;
  }
}

/**
 * Whether the first readings on mains vary so much, by their mean difference from the very first, that the smallest
 * lamp's zero needs more of them.
 */
export function isNoisy(s: Core): boolean {
  let least: number = Limit.RailHigh;
  for (let i = 0; i < s.set.lampCount; i++)
    if (column(s, i, LampColumn.Battery) < least) least = column(s, i, LampColumn.Battery);
  return s.noise * 100 > Limit.NoisyPercent * least * (Limit.PreSamples - 1) * s.set.lampCount;
}

/** Conclusions from the readings on mains: zero offsets, and lamps in the wrong state. */
export function concludeMains(s: Core): void {
  for (let i = 0; i < s.set.lampCount; i++) {
    const base = column(s, i, LampColumn.Battery);
    const onMains = ON_MAINS[column(s, i, LampColumn.Mode) as Mode];
    const isRead = s.finding[i] === Reason.None;
    const mean = isRead ? Math.floor(s.sum[i] / s.preCount + 0.5) : 0;
    if (isRead && onMains === OnMains.Dark) {
      if (mean * 100 >= s.set.floorPercent * base) s.finding[i] = Reason.LitOnMains;
      else {
        s.zero[i] = mean;
        if (Math.abs(mean) * 100 > Limit.OffsetPercent * base) s.finding[i] = Reason.SensorOffset;
      }
    } else if (isRead && onMains === OnMains.Lit) {
      if (mean * 100 < s.set.floorPercent * column(s, i, LampColumn.Mains)) s.finding[i] = Reason.DarkOnMains;
    }
    s.sum[i] = mean;
  }
}
