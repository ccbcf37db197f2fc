// A contact stuck open: the coil is exercised a few times, because moving the armature may free it. This
// cannot take a supply away: it is done only while none is present after the relay, and mains is present
// before it.
import { Fitted, Reason } from '../contract/codes';
import { Limit } from '../contract/limits';
import { hasSupply, isUnsupplied } from './senses';
import { type Core, Sense, wakeBy } from './state';

/** Whether the supply is missing only after the relay, and nothing forbids moving it. */
export function mayExercise(s: Core, now: number): boolean {
  if (s.reason !== Reason.RelayStuckOpen || !hasSupply(s) || !s.in.supplyA) return false;
  if (!isUnsupplied(s) || s.in.supplyB || s.in.stop || s.in.key) return false;
  // A contact that chatters gives some supply: it is left alone.
  if (now - s.rawAt[Sense.After] < Limit.RestoreProofMs) return false;
  // A contact that reports closed is not what keeps the supply off.
  if (s.set.fitted & Fitted.Aux && s.level[Sense.Aux] === 0) return false;
  return !(s.set.shared && s.in.occupied);
}

/** Releases the coil at once. */
export function endExercise(s: Core): void {
  s.drive = 0;
  s.leaseUntil = 0;
  s.dirty = 1;
}

/** One step of the remaining exercises: about 10 s, 1 min and 10 min after the alarm. */
export function exerciseStep(s: Core, now: number): void {
  if (s.drive) {
    if (!mayExercise(s, now) || now - s.openAt >= Limit.ExerciseMs - Limit.LoopMs) endExercise(s);
    wakeBy(s, now + Limit.LoopMs);
  } else if (now < s.exerciseAt) wakeBy(s, s.exerciseAt);
  else if (!mayExercise(s, now)) wakeBy(s, now + Limit.AskAgainMs);
  else {
    s.exercisesLeft--;
    s.exerciseAt = now + (s.exercisesLeft === 2 ? Limit.SecondExerciseMs : Limit.ThirdExerciseMs);
    s.openAt = now;
    s.drive = 1;
    s.leaseUntil = now + Limit.ExerciseMs;
    s.dirty = 1;
    wakeBy(s, now + Limit.LoopMs);
  }
}
