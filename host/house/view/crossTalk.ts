// Two channels of one circuit that move together: both read one sensor, or one leaks into the other. Judged
// from the rows of one result; all rules are common practice, no source. What this cannot see: two luminaires
// commissioned for about the same current that both stay lit to the end (their channels look alike anyway), a
// leak of less than 5 mA, and a leak from a neighbour whose current does not change in the test.
import { Reason, Verdict } from '../../../firmware/contract/codes';
import type { LampResult } from '../../records/result';
import { lengthWord } from '../../words/length';

/** A luminaire's channel in one result. */
export interface Channel extends LampResult {
  luminaire: string;
  /** Commissioned current on battery, mA. */
  batteryMilliamps: number;
  /** Percent of that at equal intervals, below zero unknown; empty if there is none. */
  curve: number[];
}

/** Readings this close together count as the same, mA and share. */
const SAME_MILLIAMPS = 3;
const SAME_SHARE = 0.02;
/** Commissioned currents this far apart do not meet by ageing. */
const APART_SHARE = 0.25;
/** A smaller leak cannot be told from noise, mA. */
const LEAK_MILLIAMPS = 5;
/** A neighbour's current must change by this share for a leak to show it. */
const MOVE_SHARE = 0.15;
/** Below this share of the commissioned current a lamp counts as dark. */
const DARK_SHARE = 0.3;
/** Curves this close, after each is divided by its first point, have the same shape, %. */
const COURSE_PERCENT = 5;

const readings = (c: Channel): number[] => [c.milliampsAt5, c.milliampsAt60, c.milliampsEnd];
const isDark = (c: Channel): boolean => c.milliampsAt60 < c.batteryMilliamps * DARK_SHARE;

function isSame(a: number, b: number): boolean {
  return Math.abs(a - b) <= Math.max(SAME_MILLIAMPS, SAME_SHARE * Math.max(a, b));
}

/** Both lit and equal to the milliampere at all three points, although commissioned far apart. */
function sameSignal(own: Channel, other: Channel): string {
  const apart = Math.abs(own.batteryMilliamps - other.batteryMilliamps);
  if (apart < APART_SHARE * Math.max(own.batteryMilliamps, other.batteryMilliamps)) return '';
  if (isDark(own) || isDark(other)) return '';
  if (!readings(own).every((ma, k) => isSame(ma, readings(other)[k]))) return '';
  return (
    `Most likely cross-talk: this channel and that of ${other.luminaire} read the same current ` +
    `(${readings(own).join(', ')} and ${readings(other).join(', ')} mA at 5 s, at 60 s and at the end) although ` +
    `commissioned at ${own.batteryMilliamps} and ${other.batteryMilliamps} mA. Check multiplexer and wiring ` +
    'for two channels on one sensor before you check the luminaires.'
  );
}

/** Largest difference of two curves after each is divided by its first point, %; undefined if unknown. */
function courseDistance(own: number[], other: number[]): number | undefined {
  let worst: number | undefined;
  const first = own.findIndex((percent, k) => percent > 0 && other[k] > 0);
  if (first < 0) return undefined;
  for (let k = first; k < Math.min(own.length, other.length); k++)
    if (own[k] >= 0 && other[k] >= 0)
      worst = Math.max(worst ?? 0, Math.abs(own[k] / own[first] - other[k] / other[first]) * 100);
  return worst;
}

/**
 * Both went out in the same second after curves of the same shape: two batteries hardly ever agree so well.
 */
function sameEnd(own: Channel, other: Channel): string {
  const ended = (c: Channel) => c.verdict === Verdict.Fail && c.reason === Reason.EndedEarly;
  if (!ended(own) || !ended(other) || Math.abs(own.litSec - other.litSec) > 1) return '';
  const distance = courseDistance(own.curve, other.curve);
  if (distance === undefined || distance > COURSE_PERCENT) return '';
  return (
    `Possibly cross-talk: this channel and that of ${other.luminaire} ended in the same second ` +
    `(${own.litSec} and ${other.litSec} s, ${lengthWord(own.litSec)}) with curves within ` +
    `${Math.ceil(distance)} % of each other. Two batteries rarely match so closely: check whether both channels ` +
    'read one sensor before you change batteries.'
  );
}

/** A dark lamp's channel that shows a steady share of what its neighbour does. */
function leak(own: Channel, other: Channel): string {
  if (!isDark(own) || isDark(other)) return '';
  const [mine, theirs] = [readings(own), readings(other)];
  const most = Math.max(...theirs);
  if (most - Math.min(...theirs) < MOVE_SHARE * most) return '';
  const share = mine[theirs.indexOf(most)] / most;
  if (share * most < LEAK_MILLIAMPS) return '';
  if (!mine.every((ma, k) => Math.abs(ma - share * theirs[k]) <= SAME_MILLIAMPS)) return '';
  return (
    `Most likely a dark lamp with cross-talk: this channel reads ${Math.round(share * 100)} % of the current of ` +
    `${other.luminaire}, point for point (${mine.join(', ')} against ${theirs.join(', ')} mA at 5 s, at 60 s ` +
    'and at the end). Check the lamp first, then the sensor wiring.'
  );
}

/** Evidence that channel `index` of a result moves together with another one; '' if there is none. */
export function crossTalk(channels: Channel[], index: number): string {
  const own = channels[index];
  if (!own) return '';
  for (const rule of [sameSignal, leak, sameEnd]) {
    for (const other of channels) {
      const said = other === own ? '' : rule(own, other);
      if (said !== '') return said;
    }
  }
  return '';
}
