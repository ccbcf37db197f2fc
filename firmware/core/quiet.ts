// When the loop may stand still for up to a minute. Some networks stop it while they connect, and a relay that
// is open, or about to be, must not wait for one.
import { Phase, Reason, TestKind } from '../contract/codes';
import { Limit } from '../contract/limits';
import { mayOpen } from './permission';
import { dueAt } from './schedule';
import { type Core, isAtRest } from './state';

/** Whether a test could begin at `at`, monotonic ms, if until then only time changes. */
function couldBegin(s: Core, at: number): boolean {
  const due = dueAt(s, at);
  return due.kind !== TestKind.None && mayOpen(s, due.kind, due.endUtc, at) === Reason.None;
}

/**
 * Whether the relay is at rest and no test can begin within `Limit.QuietMs`. A due test that waits for people
 * or for the host does not count: what it waits for may be what the connection brings.
 */
export function isQuiet(s: Core, now: number): boolean {
  const soon = now + Limit.QuietMs;
  if (s.drive || s.exercisesLeft > 0 || s.outCount > 0) return false;
  // A hold that ends soon lets a due test begin.
  if (s.holdUntil > now && s.holdUntil <= soon && dueAt(s, soon).kind !== TestKind.None) return false;
  if (isAtRest(s)) return s.set.revision === 0 || !(couldBegin(s, now) || couldBegin(s, soon));
  return s.phase === Phase.Held || s.phase === Phase.Fault || s.phase === Phase.Outage;
}
