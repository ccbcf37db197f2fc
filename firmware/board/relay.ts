// The relay coil is held by pulses that the main loop makes itself, one edge per turn. A loop that hangs,
// crashes or sleeps makes none, and the pulse detector lets the contact drop back to mains on. Never a timer
// or PWM output: those keep running when the program is dead.
import { Limit } from '../contract/limits';

let pin: Pin;
/** Enable output in series with the pulse detector, where fitted: high only while the coil should be held. */
let enable: Pin | undefined;
let wanted = 0;
let leaseUntil = 0;
let openSince = -1;
let level = 0;

/** Outputs low: relay at rest. Called before anything else. `enableName` is '' where it is not fitted. */
export function setUpRelay(name: string, enableName: string): void {
  pin = new Pin(name);
  digitalWrite(pin, 0);
  pinMode(pin, 'output');
  enable = enableName ? new Pin(enableName) : undefined;
  if (enable === undefined) return;
  digitalWrite(enable, 0);
  pinMode(enable, 'output');
}

function letGo(): void {
  level = 0;
  digitalWrite(pin, 0);
  if (enable !== undefined) digitalWrite(enable, 0);
}

/** The level the core asks for. Release takes effect within this call; hold waits for the next pulse. */
export function drive(open: number, until: number): void {
  const was = wanted;
  wanted = open;
  leaseUntil = until;
  if (open) return;
  openSince = -1;
  if (was || level) letGo();
}

/** One edge of the pulse train, if the request is still valid and no cap has passed. Called once a turn. */
export function pulse(now: number): void {
  if (!wanted) {
    digitalWrite(pin, 0);
    return;
  }
  if (openSince < 0) openSince = now;
  if (now > leaseUntil || now - openSince > Limit.OpenCapSec * 1000) {
    letGo();
    return;
  }
  level = 1 - level;
  digitalWrite(pin, level);
  if (enable !== undefined) digitalWrite(enable, 1);
}
