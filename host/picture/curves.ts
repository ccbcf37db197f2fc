// Discharge curves: lamp current against time, with the end of the rated duration marked.

import { kindName } from '../words/codes';
import type { Discharge, EstateYear, LampCurve } from './data';
import { dateText } from './days';
import { type Block, WIDTH } from './flow';
import { FAULT, INK } from './marks';
import { element, escaped, fitted, label, short } from './svg';

/** Most discharges drawn: those with failures first. */
export const DRAWN_MAX = 9;
const TOP = 42;
const LEFT = 44;
const RIGHT = 14;
const HEIGHT = 150;
const BOTTOM = 36;
/** Space after the rated duration, as a share of it. */
const BEYOND = 1.08;

/** Letters of a name that fit. */
const NAME_MAX = 14;
/** Below this many mA a lamp was never lit; below this share of its peak it is out. */
const LIT_MIN = 5;
const OUT_SHARE = 0.1;

interface Scale {
  x(minutes: number): number;
  y(milliamps: number): number;
}

/** 1, 2 or 5 times a power of ten, such that at most `most` fit into `value`. */
export function stepFor(value: number, most: number): number {
  const least = value / most;
  const power = 10 ** Math.floor(Math.log10(least));
  return power * ([1, 2, 5, 10].find((times) => times * power >= least) as number);
}

function ticks(top: number, step: number): number[] {
  return Array.from({ length: Math.floor(top / step + 1e-9) + 1 }, (_, i) => i * step);
}

/** Minutes between time labels. */
function minuteStep(rated: number): number {
  return [5, 10, 15, 30, 60].find((step) => rated / step <= 6) as number;
}

function axes({ ratedMinutes: rated }: Discharge, top: number, { x, y }: Scale): string {
  const milliamps = ticks(top, stepFor(top, 5)).map(
    (value) =>
      element('path', { d: `M${LEFT} ${short(y(value))}H${WIDTH - RIGHT}`, class: 'rule' }) +
      label(LEFT - 5, y(value) + 4, String(value), { class: 'small end' }),
  );
  const minutes = ticks(rated, minuteStep(rated)).map((value) =>
    label(x(value), TOP + HEIGHT + 14, String(value), { class: 'small middle' }),
  );
  return [
    ...milliamps,
    ...minutes,
    label(0, TOP - 10, 'lamp current, mA', { class: 'small' }),
    label(LEFT, TOP + HEIGHT + 29, 'minutes since the supply was cut', { class: 'small' }),
    element('path', {
      d: `M${short(x(rated))} ${TOP}V${TOP + HEIGHT}`,
      stroke: INK,
      'stroke-dasharray': '2 3',
    }),
    label(x(rated) - 4, TOP - 10, `end of rated duration, ${rated} min`, { class: 'small end' }),
  ].join('');
}

function lineOf({ name, hasFailed, points }: LampCurve, { x, y }: Scale): string {
  const d = points.map(([m, ma], i) => `${i === 0 ? 'M' : 'L'}${short(x(m))} ${short(y(ma))}`).join('');
  const style = hasFailed
    ? { stroke: FAULT, 'stroke-width': 2.4, 'stroke-dasharray': '7 3' }
    : { stroke: INK, 'stroke-width': 1, 'stroke-opacity': 0.55 };
  return element(
    'g',
    {},
    element('title', {}, escaped(name)),
    element('path', { d, fill: 'none', ...style }),
  );
}

/** When a lamp went out, in minutes: 0 if it never lit, undefined if it stayed lit to the end. */
export function outAt({ points }: LampCurve): number | undefined {
  const most = Math.max(...points.map(([, milliamps]) => milliamps));
  if (most < LIT_MIN) return 0;
  return points.find(([, milliamps]) => milliamps < most * OUT_SHARE)?.[0];
}

function toldOf(name: string, out: number | undefined): string {
  if (out === undefined) return `${name} failed`;
  return out === 0 ? `${name} never lit` : `${name} out at ${Math.round(out)} min`;
}

/** Names of the lamps that failed, each beside the end of its curve, stacked. */
function namesOf(lamps: LampCurve[], { x }: Scale): string {
  return lamps
    .filter(({ hasFailed }) => hasFailed)
    .map((lamp, i) => {
      const out = outAt(lamp);
      const at = x(out ?? 0);
      const isLate = at > WIDTH / 2;
      const text = toldOf(fitted(lamp.name, NAME_MAX), out);
      return label(at + (isLate ? -6 : 6), TOP + HEIGHT - 10 - i * 14, text, {
        class: `small fault${isLate ? ' end' : ''}`,
      });
    })
    .join('');
}

function dischargeBlock(discharge: Discharge): Block {
  const { circuit, day, kind, ratedMinutes, lamps } = discharge;
  const top = Math.max(10, ...lamps.flatMap(({ points }) => points.map(([, milliamps]) => milliamps))) * 1.05;
  const scale: Scale = {
    x: (minutes) => LEFT + (minutes / (ratedMinutes * BEYOND)) * (WIDTH - LEFT - RIGHT),
    y: (milliamps) => TOP + HEIGHT * (1 - milliamps / top),
  };
  const sound = lamps.filter(({ hasFailed }) => !hasFailed);
  const failed = lamps.filter(({ hasFailed }) => hasFailed);
  return {
    height: TOP + HEIGHT + BOTTOM,
    content:
      label(0, 15, `${fitted(circuit, NAME_MAX)}, ${kindName(kind)} of ${dateText(day)}`, {
        class: 'strong',
      }) +
      axes(discharge, top, scale) +
      [...sound, ...failed].map((lamp) => lineOf(lamp, scale)).join('') +
      namesOf(lamps, scale),
  };
}

function hasFailure({ lamps }: Discharge): boolean {
  return lamps.some((lamp) => lamp.hasFailed);
}

/** The discharges drawn: those with failures first, then the newest, in order of time. */
export function chosen(discharges: Discharge[]): Discharge[] {
  return [...discharges]
    .sort((a, b) => Number(hasFailure(b)) - Number(hasFailure(a)) || b.day - a.day)
    .slice(0, DRAWN_MAX)
    .sort((a, b) => a.day - b.day);
}

/** A block for each discharge drawn. */
export function curveBlocks({ discharges }: EstateYear): Block[] {
  return chosen(discharges).map(dischargeBlock);
}
