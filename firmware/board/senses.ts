// Supply senses, contacts and people inputs as levels, the red lamp, and the lamp currents through the
// analogue multiplexer. Inputs are polled: they are slow, and the core settles them.
import { Limit } from '../contract/limits';
import type { Inputs } from '../core/inputs';
import type { Wiring } from './config';

/** Readings averaged for one lamp. */
const BURST = 4;
/** Readings this close to an end of the converter's range mean an open or saturated sensor. */
const RAIL = 0.004;

let before: Pin;
let after: Pin;
let aux: Pin | undefined;
let occupied: Pin | undefined;
let stop: Pin | undefined;
let key: Pin | undefined;
let redLamp: Pin;
let lampInput: Pin;
let select: Pin[];
let zero = 0;
let spanMilliamps = 0;
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
  lampInput = new Pin(wiring.lamp);
  pinMode(lampInput, 'analog');
  select = [];
  for (let i = 0; i < wiring.select.length; i++) {
    const pin = new Pin(wiring.select[i]);
    pinMode(pin, 'output');
    select.push(pin);
  }
  zero = wiring.zero;
  spanMilliamps = wiring.spanMilliamps;
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
}

function milliamps(share: number): number {
  if (share > 1 - RAIL) return Limit.RailHigh;
  if (zero > RAIL && share < RAIL) return Limit.RailLow;
  return Math.round((share - zero) * spanMilliamps);
}

/** One averaged burst of every lamp. */
export function readLamps(inputs: Inputs, count: number): void {
  for (let i = 0; i < count; i++) {
    digitalWrite(select, i);
    let sum = 0;
    for (let k = 0; k < BURST; k++) sum += analogRead(lampInput);
    inputs.lamp[i] = milliamps(sum / BURST);
  }
}

export function showRed(on: number): void {
  if (on === redLevel) return;
  redLevel = on;
  digitalWrite(redLamp, on);
}
