// Supply senses, contacts and people inputs as levels, the red lamp, and the lamp currents through the driver
// of the board's converter. Inputs are polled: they are slow, and the core debounces them.
import { Limit } from '../contract/limits';
import type { Inputs } from '../core/inputs';
import { readLamp, selectLamp } from './adc/chosen';
import type { Wiring } from './config';

/** Time over which an alternating current is sampled, s: half a period at 50 Hz. */
const RMS_SEC = 0.01;
/** Most readings of one wave: ends the loop even if the clock stops. */
const RMS_MOST = 100;
/** Above this share of the highest possible deviation the signal is not a wave but a saturated sensor. */
const RMS_RAIL = 0.9;
/** Readings this close to an end of the converter's range mean an open or saturated sensor. */
const RAIL = 0.004;

let before: Pin;
let after: Pin;
let aux: Pin | undefined;
let occupied: Pin | undefined;
let stop: Pin | undefined;
let key: Pin | undefined;
let redLamp: Pin;
let zero = 0;
let spanMilliamps = 0;
let rms = 0;
let charge: Pin | undefined;
let chargeSpan = 0;
let redLevel = -1;

function optional(name: string): Pin | undefined {
  if (!name) return undefined;
  const pin = new Pin(name);
  pinMode(pin, 'input');
  return pin;
}

export function setUpSenses(wiring: Wiring): void {
  before = new Pin(wiring.before);
  after = new Pin(wiring.after);
  pinMode(before, 'input');
  pinMode(after, 'input');
  aux = optional(wiring.aux);
  occupied = optional(wiring.occupied);
  stop = optional(wiring.stop);
  key = optional(wiring.key);
  redLamp = new Pin(wiring.red);
  pinMode(redLamp, 'output');
  zero = wiring.zero;
  spanMilliamps = wiring.spanMilliamps;
  rms = wiring.rms || 0;
  chargeSpan = wiring.chargeSpanMilliamps || 0;
  charge = undefined;
  if (wiring.charge) {
    charge = new Pin(wiring.charge);
    pinMode(charge, 'analog');
  }
}

function read(pin: Pin | undefined): number {
  return pin === undefined ? 0 : digitalRead(pin);
}

export function readInputs(inputs: Inputs): void {
  inputs.supplyA = digitalRead(before);
  inputs.supplyB = digitalRead(after);
  inputs.aux = read(aux);
  inputs.occupied = read(occupied);
  inputs.stop = read(stop);
  inputs.key = read(key);
  if (charge !== undefined) inputs.charge = Math.round(analogRead(charge) * chargeSpan);
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
export function readLamps(inputs: Inputs, count: number): void {
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
}

export function showRed(on: number): void {
  if (on === redLevel) return;
  redLevel = on;
  digitalWrite(redLamp, on);
}
