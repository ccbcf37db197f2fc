// Supply senses, contacts and people inputs as levels, the charging current and the red lamp. Inputs are
// polled: they are slow, and the core debounces them. The lamps are read elsewhere (lamps/).
import type { Inputs } from '../core/inputs';
import type { Wiring } from './config';

let before: Pin;
let after: Pin;
let aux: Pin | undefined;
let occupied: Pin | undefined;
let stop: Pin | undefined;
let key: Pin | undefined;
let redLamp: Pin;
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

export function showRed(on: number): void {
  if (on === redLevel) return;
  redLevel = on;
  digitalWrite(redLamp, on);
}
