// Supply before and after the relay, and the auxiliary contact, debounced.
import { Phase, Reason } from '../contract/codes';
import { Limit } from '../contract/limits';
import { eventRecord, queueRecord } from './records';
import { type Core, Sense, wakeBy } from './state';

/** The supply returned before its loss had settled. Many such dips in a row make it unsteady. */
function noteDip(s: Core, sense: Sense, now: number): void {
  // After the relay, count only what neither the relay nor a mains dip explains.
  const isOwn = s.drive === 1 || s.phase === Phase.Restoring || s.raw[Sense.Before] === 0;
  if (sense === Sense.After && (isOwn || now - s.rawAt[Sense.Before] <= Limit.DebounceMs)) return;
  s.supplyDips = now - s.supplyDipAt > Limit.DipSpanMs ? 1 : s.supplyDips + 1;
  s.supplyDipAt = now;
  const isKnown = now < s.unsteadyUntil;
  if (!isKnown && s.supplyDips < Limit.UnsteadyDips) return;
  s.unsteadyUntil = now + Limit.SteadyMs;
  if (!isKnown) queueRecord(s, eventRecord(s, 'supply', Reason.UnsteadySupply, s.supplyDips, now));
  // Every dip drains the batteries a little: the unbroken charge starts again.
  if (s.suppliedAt < 0) return;
  s.suppliedAt = now;
  s.autonomyAt = now + s.set.rechargeSec * 1000;
}

/** Debounces one input. @returns 1 when its level changed now. */
function settle(s: Core, sense: Sense, value: number, now: number): number {
  if (value !== s.raw[sense]) {
    s.raw[sense] = value;
    s.rawAt[sense] = now;
    if (value && s.level[sense] === 1 && sense !== Sense.Aux) noteDip(s, sense, now);
  }
  if (s.level[sense] === value) return 0;
  const settledAt = s.rawAt[sense] + Limit.DebounceMs;
  if (now < settledAt) {
    wakeBy(s, settledAt);
    return 0;
  }
  s.level[sense] = value;
  s.dirty = 1;
  return 1;
}

/** Whether an input differs from what was last seen, so that a step is due at once. */
export function hasNews(s: Core): boolean {
  const i = s.in;
  return (
    i.supplyA !== s.raw[Sense.Before] ||
    i.supplyB !== s.raw[Sense.After] ||
    i.aux !== s.raw[Sense.Aux] ||
    i.stop !== s.seenStop ||
    i.key !== s.seenKey ||
    i.occupied !== s.seenOccupied
  );
}

/** Reads the inputs and tracks how long the luminaires have had supply. */
export function readSenses(s: Core, now: number): void {
  settle(s, Sense.Before, s.in.supplyA, now);
  if (settle(s, Sense.After, s.in.supplyB, now)) {
    s.suppliedAt = s.in.supplyB ? s.rawAt[Sense.After] : -1;
    // How much an interruption drained the batteries is unknown; the end of a test corrects this downwards.
    if (s.in.supplyB) s.autonomyAt = s.suppliedAt + s.set.rechargeSec * 1000;
  }
  settle(s, Sense.Aux, s.in.aux, now);
  // The end of a long presence counts too: the core may not have been stepped since it began.
  if (s.in.occupied || s.seenOccupied) s.movedAt = now;
  s.seenStop = s.in.stop;
  s.seenKey = s.in.key;
  s.seenOccupied = s.in.occupied;
}

/** Supply before the relay, debounced. */
export function hasSupply(s: Core): boolean {
  return s.level[Sense.Before] === 1;
}

/** Supply at the luminaires, debounced. */
export function isSupplied(s: Core): boolean {
  return s.level[Sense.After] === 1;
}

export function isUnsupplied(s: Core): boolean {
  return s.level[Sense.After] === 0;
}
