// What was seen of a guard circuit with a single fault, and what that means.

/** What a simulation showed. Times from the last rising edge, or from the fall of `enable`; infinite: never. */
export interface Seen {
  /** The coil was on although nobody asked for it. */
  onAtRest: boolean;
  /** The coil was held whenever it was asked for: any relay of its type, and not even the laziest one let go. */
  holds: boolean;
  mayHold: boolean;
  stopsLowMs: number;
  stopsHighMs: number;
  enableMs: number;
  /** `enable` alone, when the controller loses its supply. */
  floatingMs: number;
  /** Time of the timer by the pace of its oscillator, s: its own, and with the button pressed. */
  timerSec: number;
  hurriedSec: number;
  /** The timer ends a hold, and then keeps the coil off until the drive ends. */
  staysOff: boolean;
}

/** What the guards must keep to, ms and s. */
export const LIMITS = {
  detectorMs: 1500,
  pauseMs: 740,
  enableMs: 50,
  timerSecMin: 10_860,
  timerSecMax: 14_400,
  hurriedSecMin: 60,
  hurriedSecMax: 95,
};

export type Ending = 'pulses stop low' | 'pulses stop high' | 'enable falls';

export type Verdict =
  | 'unsafe'
  /** The coil is not held, or not for a whole test: mains on, and the next test says so. */
  | 'shows itself'
  /** One of the endings is late: found when its turn comes. */
  | 'found by a test'
  /** The timer with its button pressed, or its blinking lamp: found by a person. */
  | 'found by a person'
  /** Nothing finds it; it holds nothing by itself. */
  | 'hidden'
  | 'no effect';

export type Guard = 'detector' | 'enable' | 'timer';

/** Endings that are late with this fault. */
export function lateEndings(seen: Seen): Ending[] {
  const late: Ending[] = [];
  if (seen.stopsLowMs > LIMITS.detectorMs) late.push('pulses stop low');
  if (seen.stopsHighMs > LIMITS.detectorMs) late.push('pulses stop high');
  if (seen.enableMs > LIMITS.enableMs) late.push('enable falls');
  return late;
}

/** Guards that do not do their part with this fault. A coil that nothing holds needs none. */
export function lostGuards(seen: Seen): Guard[] {
  if (!seen.mayHold) return [];
  const lost: Guard[] = [];
  if (seen.stopsLowMs > LIMITS.detectorMs || seen.stopsHighMs > LIMITS.detectorMs) lost.push('detector');
  if (seen.enableMs > LIMITS.enableMs || seen.floatingMs > LIMITS.enableMs) lost.push('enable');
  if (!seen.staysOff || seen.timerSec > LIMITS.timerSecMax) lost.push('timer');
  return lost;
}

/** Whether a person who presses the button and times the lamp finds something wrong. */
function isWrongToPerson(seen: Seen): boolean {
  const { hurriedSec, timerSec } = seen;
  const isHurried = hurriedSec >= LIMITS.hurriedSecMin && hurriedSec <= LIMITS.hurriedSecMax;
  return !isHurried || timerSec > LIMITS.timerSecMax;
}

/** What a fault means, from what was seen with it. */
export function verdictOf(seen: Seen): Verdict {
  if (seen.onAtRest) return 'unsafe';
  if (!seen.mayHold) return 'shows itself';
  if (lateEndings(seen).length > 0) return 'found by a test';
  const isPersons = isWrongToPerson(seen);
  if (lostGuards(seen).length > 0) return isPersons ? 'found by a person' : 'hidden';
  if (!seen.holds || seen.timerSec < LIMITS.timerSecMin) return 'shows itself';
  return isPersons ? 'found by a person' : 'no effect';
}
