// Input levels. The board fills them in before every step; the core detects the edges.
import { Limit } from '../contract/limits';

export interface Inputs {
  /** 1: supply present before the relay. */
  supplyA: number;
  /** 1: supply present after the relay, that is, at the luminaires' permanent live. */
  supplyB: number;
  /** 1: the auxiliary contact reports open. */
  aux: number;
  /** 1: someone is in the area. */
  occupied: number;
  /** 1: fire alarm or stop button. */
  stop: number;
  /** 1: the key switch is turned to hold. */
  key: number;
  /** Charging current of the circuit, mA; 0 where no sensor is fitted. */
  charge: number;
  /** Lamp current in mA, sensor order; Limit.RailLow / RailHigh when the sensor is open or saturated. */
  lamp: Int16Array;
}

/** The levels as bits, in the order of the fields: supply before the relay is the lowest. */
export function levelBits(i: Inputs): number {
  return i.supplyA | (i.supplyB << 1) | (i.aux << 2) | (i.occupied << 3) | (i.stop << 4) | (i.key << 5);
}

export function newInputs(): Inputs {
  return {
    supplyA: 1,
    supplyB: 1,
    aux: 0,
    occupied: 0,
    stop: 0,
    key: 0,
    charge: 0,
    lamp: new Int16Array(Limit.Luminaires),
  };
}
