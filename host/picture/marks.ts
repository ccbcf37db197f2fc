// The marks of the calendar. Each has its own shape, so they can be told apart in black and white.
import type { Kind, Outcome } from './data';
import { element } from './svg';

/** Colours: fine, long test, failure, proves nothing, charging, no supply. */
export const INK = '#1b2226';
export const LONG = '#0b4f7d';
export const FAULT = '#a61b16';
export const QUIET = '#5d676d';
const CHARGE = '#c98a1b';

/** Half the width of a mark, px. */
const HALF = 3.4;

function cross(x: number, y: number): string {
  const d = `M${x - HALF} ${y - HALF}L${x + HALF} ${y + HALF}M${x - HALF} ${y + HALF}L${x + HALF} ${y - HALF}`;
  return element('path', { d, stroke: FAULT, 'stroke-width': 2, fill: 'none' });
}

function shapeOf(kind: Kind, x: number, y: number, attributes: Record<string, string | number>): string {
  if (kind === 'brief') return element('circle', { cx: x, cy: y, r: 2.7, ...attributes });
  if (kind === 'full')
    return element('rect', { x: x - HALF, y: y - HALF, width: 2 * HALF, height: 2 * HALF, ...attributes });
  const d = `M${x} ${y - HALF}L${x + HALF} ${y + HALF}L${x - HALF} ${y + HALF}Z`;
  return element('path', { d, ...attributes });
}

/**
 * A test around (`x`, `y`): its shape shows the kind; filled means passed, empty proved nothing, crossed
 * failed.
 */
export function testMark(kind: Kind, outcome: Outcome, x: number, y: number): string {
  const colour = kind === 'brief' ? INK : LONG;
  if (outcome === 'passed') return shapeOf(kind, x, y, { fill: colour });
  if (outcome === 'void') return shapeOf(kind, x, y, { fill: '#fff', stroke: QUIET, 'stroke-width': 1.2 });
  const around = kind === 'brief' ? '' : shapeOf(kind, x, y, { fill: 'none', stroke: FAULT });
  return around + cross(x, y);
}

/** The cross alone, for rows with several circuits. */
export function failureMark(x: number, y: number): string {
  return cross(x, y);
}

/** A bar standing on (`x`, `y`): filled for brief tests, empty if a longer one is among them. */
export function shareMark(isLong: boolean, x: number, y: number, width: number, height: number): string {
  if (!isLong) return element('rect', { x, y: y - height, width, height, fill: INK });
  const inner = { x: x + 0.6, y: y - height + 0.6, width: width - 1.2, height: height - 1.2 };
  return element('rect', { ...inner, fill: '#fff', stroke: LONG, 'stroke-width': 1.2 });
}

/** Charging: a thin line below the marks. No supply: a black block above them. */
export function barMark(kind: 'recharge' | 'off', x: number, y: number, width: number): string {
  return kind === 'off'
    ? element('rect', { x, y: y - 6.5, width: Math.max(1.5, width), height: 4, fill: INK })
    : element('rect', { x, y: y + 4.6, width, height: 1.8, fill: CHARGE });
}
