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
  /**
   * Lamp current in mA, sensor order; Limit.RailLow / RailHigh when the sensor is open or saturated,
   * Limit.Unheard to UnheardLast when its module was not heard.
   */
  lamp: Int16Array;
  /** Whether `lamp` holds the reading asked for. */
  read: Read;
}

/** How far a reading of the lamps has come. Only modules on a bus give another than All. */
export const enum Read {
  /** The modules are still being read. */
  NotYet = 0,
  All = 1,
  /** Some modules were not heard. */
  Some = 2,
}

/** Whether a value in place of a current says that its module was not heard. */
export function isUnheard(raw: number): boolean {
  return raw <= Limit.UnheardLast && raw > Limit.RailLow;
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
    read: Read.All,
  };
}
