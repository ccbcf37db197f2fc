// The parts we use of `solar-calculator`, which ships without types.
declare module 'solar-calculator' {
  /** Centuries of 36525 days since noon on 2000-01-01. */
  export function century(date: Date | number): number;
  /** Degrees, at a time in centuries. */
  export function declination(t: number): number;
  /** Minutes by which a sundial is ahead of the clock, at a time in centuries. */
  export function equationOfTime(t: number): number;
}
