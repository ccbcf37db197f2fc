// What is used of `solar-calculator`, which comes without types.
declare module 'solar-calculator' {
  /** Centuries of 36525 days since noon of 2000-01-01. */
  export function century(date: Date | number): number;
  /** Degrees, at a century. */
  export function declination(t: number): number;
  /** Minutes by which a sundial is ahead of the clock, at a century. */
  export function equationOfTime(t: number): number;
}
