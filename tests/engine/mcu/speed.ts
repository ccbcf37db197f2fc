// From instructions to time. The emulator counts instructions and knows no cycles, so one published timing of the
// interpreter on a board is the measure: a user's F401 at 84 MHz took 458 s for 1,000,000 terms of Leibniz'
// series (2017). The same loop is counted here.

/** 16 ns each: `-icount shift=4`. */
export const INSTRUCTIONS_A_SECOND = 62_500_000;
/** 458 s at 84 MHz for a million terms. */
const CYCLES_A_TERM = 38_472;
export const TERMS = 1000;

/** Boot code: `series()` gives the seconds that so many terms take, in the outermost scope as they were timed. */
export const SERIES = `global.series=function(){var at=getTime();eval.call(undefined,'var terms = ${TERMS};var x = 1;var pi = 1;for (n = 2; n < terms + 2; n++) {    x = x * -1;    pi = pi + (x / (2*n-1));}');return getTime()-at};`;

/** @param seriesSec what `series()` gave */
export function cyclesPerInstruction(seriesSec: number): number {
  return (CYCLES_A_TERM * TERMS) / (seriesSec * INSTRUCTIONS_A_SECOND);
}
