// One analogue pair for each luminaire: its current through the driver of the board's converter.
import { Limit } from '../../contract/limits';
import { type Inputs, Read } from '../../core/inputs';
import { type AdcWiring, readLamp, selectLamp, setUpAdc } from '../adc/chosen';
import type { Wiring } from '../config';

export type { AdcWiring };

/** Time over which an alternating current is sampled, s: half a period at 50 Hz. */
const RMS_SEC = 0.01;
/** Most readings of one wave: ends the loop even if the clock stops. */
const RMS_MOST = 100;
/** Above this share of the highest possible deviation the signal is not a wave but a saturated sensor. */
const RMS_RAIL = 0.9;
/** Readings this close to an end of the converter's range mean an open or saturated sensor. */
const RAIL = 0.004;

let zero = 0;
let spanMilliamps = 0;
let rms = 0;

export function setUpLamps(adc: AdcWiring, pins: Wiring): void {
  setUpAdc(adc);
  zero = pins.zero;
  spanMilliamps = pins.spanMilliamps;
  rms = pins.rms || 0;
}

function milliamps(share: number): number {
  if (share > 1 - RAIL) return Limit.RailHigh;
  if (zero > RAIL && share < RAIL) return Limit.RailLow;
  return Math.round((share - zero) * spanMilliamps);
}

/** Root mean square about zero, mA. The wave may have any phase relative to the burst. */
function rmsMilliamps(): number {
  const until = getTime() + RMS_SEC;
  let sum = 0;
  let count = 0;
  while (count < RMS_MOST && getTime() < until) {
    const off = readLamp() - zero;
    sum += off * off;
    count++;
  }
  const share = Math.sqrt(sum / count);
  if (share > RMS_RAIL * (zero > 1 - zero ? zero : 1 - zero)) return Limit.RailHigh;
  return Math.round(share * spanMilliamps);
}

/** One burst of every lamp: the mean of a steady current, the root mean square of an alternating one. */
export function readLamps(inputs: Inputs, count: number, _since: number): Read {
  for (let i = 0; i < count; i++) {
    selectLamp(i);
    if ((rms >> i) & 1) inputs.lamp[i] = rmsMilliamps();
    else {
      // A steady current: the mean of four readings, unrolled, because a loop would take as long as the
      // readings.
      const two = readLamp() + readLamp();
      inputs.lamp[i] = milliamps((two + readLamp() + readLamp()) / 4);
    }
  }
  return Read.All;
}
