// What a driver of an analogue-to-digital converter offers. One file in this folder is one driver; the build
// puts the one a board names behind `chosen.ts`, so a program holds a single driver.

export interface AdcPort<AdcWiring> {
  /** Prepares the converter. Throws where the wiring names no bus the interpreter has. */
  setUpAdc(wiring: AdcWiring): void;
  /** Selects a lamp, 0 to 15, for `readLamp`. */
  selectLamp(lamp: number): void;
  /** One conversion of the selected lamp, as a share of the range: 0 to 1. */
  readLamp(): number;
}
