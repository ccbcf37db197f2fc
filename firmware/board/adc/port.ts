// What a driver of an analogue-to-digital converter provides. Each file in this folder is one driver; the
// build puts the one a board names behind `chosen.ts`, so a program holds a single driver.

export interface AdcPort<AdcWiring> {
  /** Prepares the converter. Throws when the wiring names a bus the interpreter does not have. */
  setUpAdc(wiring: AdcWiring): void;
  /** Selects a lamp, 0 to 15, for `readLamp`. */
  selectLamp(lamp: number): void;
  /** One conversion of the selected lamp, as a share of the range: 0 to 1. */
  readLamp(): number;
}
