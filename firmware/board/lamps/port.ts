// What a way of sensing the lamps provides. Each file in this folder that is not named otherwise is one; the
// build puts the one a board names behind `chosen.ts`, so a program holds a single one.
import type { Inputs, Read } from '../../core/inputs';
import type { Wiring } from '../config';

export interface LampPort<AdcWiring> {
  /** Prepares it. Throws when the wiring names a port the interpreter does not have. */
  setUpLamps(adc: AdcWiring, pins: Wiring): void;
  /** `readLamps` of the board (ports.ts). */
  readLamps(inputs: Inputs, count: number, since: number): Read;
}
