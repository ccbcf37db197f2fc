// The relay coil is held by pulses that the main loop makes itself, one edge per turn. A loop that hangs,
// crashes or sleeps makes none, and the pulse detector lets the contact drop back to mains on. Never a timer
// or PWM output: those keep running when the program is dead.
import { Ending } from '../contract/codes';
import { Limit } from '../contract/limits';

let pin: Pin;
/** Enable output in series with the pulse detector: high only while the coil should be held. */
let enable: Pin;
let wanted = 0;
let leaseUntil = 0;
let openSince = -1;
let level = 0;
/** The guard that alone releases the relay now, until `leaseUntil`. */
let ending = Ending.All;

/** Outputs low: relay at rest. Called before anything else. */
export function setUpRelay(name: string, enableName: string): void {
  pin = new Pin(name);
  digitalWrite(pin, 0);
  pinMode(pin, 'output');
  enable = new Pin(enableName);
  digitalWrite(enable, 0);
  pinMode(enable, 'output');
}

function letGo(): void {
  level = 0;
  ending = Ending.All;
  digitalWrite(pin, 0);
  digitalWrite(enable, 0);
}

function toggle(): void {
  level = 1 - level;
  digitalWrite(pin, level);
}

/** Leaves the release to one guard: the others keep the coil held. */
function begin(one: Ending): void {
  ending = one;
  if (one === Ending.Enable) digitalWrite(enable, 0);
  else {
    level = one === Ending.StopsHigh ? 1 : 0;
    digitalWrite(pin, level);
  }
}

/**
 * The level the core asks for. Release takes effect within this call, by every guard or by the one that
 * `one` names until `until`; hold waits for the next pulse.
 */
export function drive(open: number, until: number, one: Ending): void {
  const was = wanted;
  wanted = open;
  leaseUntil = until;
  if (open) {
    ending = Ending.All;
    return;
  }
  openSince = -1;
  // Only a coil that was held can prove a guard.
  if (one !== Ending.All && (was || ending === one)) {
    if (was) begin(one);
  } else if (was || level || ending !== Ending.All) letGo();
}

/** One edge of the pulse train, if the request is still valid and no cap has passed. Called once a turn. */
export function pulse(now: number): void {
  if (!wanted) {
    if (ending === Ending.All) digitalWrite(pin, 0);
    else if (now > leaseUntil) letGo();
    else if (ending === Ending.Enable) toggle();
    return;
  }
  if (openSince < 0) openSince = now;
  if (now > leaseUntil || now - openSince > Limit.OpenCapSec * 1000) {
    letGo();
    return;
  }
  toggle();
  digitalWrite(enable, 1);
}
