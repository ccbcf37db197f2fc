// The relay coil is held by pulses that the main loop makes itself, one edge a turn. A loop that hangs,
// crashes or sleeps makes none, and the pulse detector lets the contact fall back to mains on. Never a
// timer or PWM output: those go on when the program is dead.
import { Limit } from '../contract/limits';

let pin: Pin;
let wanted = 0;
let leaseUntil = 0;
let openSince = -1;
let level = 0;

/** Output low: relay at rest. Called before anything else. */
export function setUpRelay(name: string): void {
  pin = new Pin(name);
  digitalWrite(pin, 0);
  pinMode(pin, 'output');
}

/** The core's wish. Letting go takes effect in this very call; holding waits for the next pulse. */
export function drive(open: number, until: number): void {
  wanted = open;
  leaseUntil = until;
  if (!open) {
    level = 0;
    openSince = -1;
    digitalWrite(pin, 0);
  }
}

/** One edge of the pulse train, if the wish is alive and no cap is passed. Once a turn. */
export function pulse(now: number): void {
  if (wanted && openSince < 0) openSince = now;
  const isAlive = wanted && now <= leaseUntil && now - openSince <= Limit.OpenCapSec * 1000;
  level = isAlive ? 1 - level : 0;
  digitalWrite(pin, level);
}
