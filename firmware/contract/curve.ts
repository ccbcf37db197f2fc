// A discharge curve as text: one character per point, 0 to 157.5 % of the baseline in steps of 2.5 %
// (so a stored point is within 1.25 % of the measured one).

const ALPHABET = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_';

/** Percent of baseline as the nearest step, 0 to 63. */
export function curveStep(percent: number): number {
  const step = Math.floor((percent + 1.25) / 2.5);
  return step < 0 ? 0 : step > 63 ? 63 : step;
}

/** Text of `count` steps found in `steps` from `offset` on. */
export function curveText(steps: { [index: number]: number }, offset: number, count: number): string {
  let out = '';
  for (let i = 0; i < count; i++) out += ALPHABET.charAt(steps[offset + i]);
  return out;
}

/** The curve back as percent of baseline. Characters outside the alphabet read as -1. */
export function curvePercent(text: string): number[] {
  const out: number[] = [];
  for (let i = 0; i < text.length; i++) {
    const step = ALPHABET.indexOf(text.charAt(i));
    out.push(step < 0 ? -1 : step * 2.5);
  }
  return out;
}
