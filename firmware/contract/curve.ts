// A discharge curve as text. New form: one character for the error bound, then three per point (its place on
// the grid of readings and its percent of the baseline), with straight lines between points. Older form: one
// character per point at a fixed spacing, 0 to 157.5 % in steps of 2.5 %.

/** Sixty-four characters that need no escape in JSON text. */
export const DIGITS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_';
/** Highest percent a point can hold; anything higher reads as this. */
export const CURVE_TOP = 126;
/** Factor on a point's place, so that place and percent share one number: the percent takes the low bits. */
export const CURVE_SHIFT = 128;

/** Percent of baseline to the nearest step of the older form, 0 to 63. */
export function curveStep(percent: number): number {
  const step = Math.floor((percent + 1.25) / 2.5);
  return step < 0 ? 0 : step > 63 ? 63 : step;
}

/** Older form of the `count` steps in `steps` from `offset` on; a step above 63 reads as unknown. */
export function curveText(steps: { [index: number]: number }, offset: number, count: number): string {
  let out = '';
  for (let i = 0; i < count; i++) out += steps[offset + i] > 63 ? '.' : DIGITS.charAt(steps[offset + i]);
  return out;
}

/** Decodes the older form to percent of baseline. Characters outside the alphabet read as -1. */
export function curvePercent(text: string): number[] {
  const out: number[] = [];
  for (let i = 0; i < text.length; i++) {
    const step = DIGITS.indexOf(text.charAt(i));
    out.push(step < 0 ? -1 : step * 2.5);
  }
  return out;
}

/**
 * New form of the `count` points in `points` from `offset` on, each place * CURVE_SHIFT + percent.
 * @param error largest distance of a whole-percent reading from the lines, %, 0 to 126
 */
export function lineText(
  points: { [index: number]: number },
  offset: number,
  count: number,
  error: number,
): string {
  let out = DIGITS.charAt(Math.ceil(error / 2));
  for (let i = 0; i < count; i++) {
    const point = points[offset + i];
    out += DIGITS.charAt(point >> 12) + DIGITS.charAt((point >> 6) & 63) + DIGITS.charAt(point & 63);
  }
  return out;
}

export interface Line {
  /** No reading on the grid is further from the lines than this, percent of baseline, rounding included. */
  bound: number;
  /** Place on the grid and percent of each point, in rising order of place. */
  places: number[];
  percents: number[];
}

/** The 18 bits that three characters stand for, most significant first. */
export function threeDigits(text: string, at: number): number {
  const [a, b, c] = [0, 1, 2].map((k) => DIGITS.indexOf(text.charAt(at + k)));
  return (a << 12) | (b << 6) | c;
}

/** Decodes the new form; undefined when the text is not one. */
export function readLine(text: string): Line | undefined {
  if (text.length < 4 || text.length % 3 !== 1 || /[^A-Za-z0-9_-]/.test(text)) return undefined;
  const line: Line = { bound: DIGITS.indexOf(text.charAt(0)) * 2 + 0.5, places: [], percents: [] };
  for (let i = 1; i < text.length; i += 3) {
    const point = threeDigits(text, i);
    const place = Math.floor(point / CURVE_SHIFT);
    const last = line.places[line.places.length - 1];
    if (last !== undefined && place < last) return undefined;
    // A curve of one reading stores it twice.
    if (place === last) continue;
    line.places.push(place);
    line.percents.push(point % CURVE_SHIFT);
  }
  return line;
}

/** Percent at every place of the grid up to the last point; -1 before the first point. */
export function linePercent(line: Line): number[] {
  const out: number[] = [];
  for (let k = 0; k < line.places[0]; k++) out.push(-1);
  out.push(line.percents[0]);
  for (let i = 1; i < line.places.length; i++) {
    const from = line.places[i - 1];
    const rise = (line.percents[i] - line.percents[i - 1]) / (line.places[i] - from);
    for (let k = from + 1; k <= line.places[i]; k++) out.push(line.percents[i - 1] + rise * (k - from));
  }
  return out;
}
