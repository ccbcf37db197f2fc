// What must always hold of the controller's own state, as plain predicates: the simulator checks them after
// every event. They are not part of the firmware. Claims about the world (batteries, neighbours, the log
// book) are checked from outside, in simulator/checkers.
import { Ending, Phase, Reason, TestKind, Verdict } from '../contract/codes';
import { Limit } from '../contract/limits';
import { testSec } from './permission';
import { type Core, Sense } from './state';

export interface Claim {
  /** Number of the invariant it serves, and a sentence for the report. */
  name: string;
  holds(s: Core, now: number): boolean;
}

function isTestPhase(s: Core): boolean {
  return s.phase === Phase.Opening || s.phase === Phase.Brief || s.phase === Phase.Full;
}

/** A contact stuck open may have its coil exercised briefly: there is no supply to take away. */
function isExercise(s: Core, now: number): boolean {
  return (
    s.phase === Phase.Fault &&
    s.reason === Reason.RelayStuckOpen &&
    s.level[Sense.Before] === 1 &&
    s.level[Sense.After] === 0 &&
    s.raw[Sense.After] === 0 &&
    now - s.rawAt[Sense.After] >= Limit.RestoreProofMs &&
    now - s.openAt <= Limit.ExerciseMs
  );
}

function isEveryLampDecided(s: Core): boolean {
  for (let i = 0; i < s.set.lampCount; i++) if (s.verdict[i] === Verdict.Open) return false;
  return true;
}

export const always: Claim[] = [
  {
    name: 'I1 the coil is held only in an opening or a test, or for a moment to free a contact stuck open',
    holds: (s, now) => s.drive === 0 || isTestPhase(s) || isExercise(s, now),
  },
  {
    name: 'I1 an opening lasts no longer than its limit, its grace and the compiled-in cap',
    holds: (s, now) =>
      s.drive === 0 ||
      now - s.openAt <=
        Math.min(s.limitMs + Limit.OpenGraceSec * 1000, Limit.OpenCapSec * 1000 + Limit.LoopMs),
  },
  {
    name: 'I1 the limit is that of the kind of test, or a brief test lengthened up to its cap',
    holds: (s) =>
      s.drive === 0 ||
      s.phase === Phase.Fault ||
      s.limitMs === testSec(s, s.kind) * 1000 ||
      (s.kind === TestKind.Brief && s.limitMs <= s.set.briefCapSec * 1000),
  },
  {
    name: 'I1 the lease never reaches further than its stated life',
    holds: (s, now) => s.leaseUntil <= now + Limit.LeaseMs,
  },
  {
    name: 'I1 a guard is proven only after a release, for as long as it may take',
    holds: (s, now) =>
      s.ending === Ending.All ||
      (s.drive === 0 &&
        s.phase === Phase.Restoring &&
        now - s.releasedAt <= Limit.DetectorProofMs + Limit.LoopMs &&
        s.seenStop === 0 &&
        s.seenKey === 0),
  },
  {
    name: 'I2 nothing holds the coil during an outage, a hold or a tester fault, but to free a stuck contact',
    holds: (s, now) =>
      s.drive === 0 ||
      (s.phase !== Phase.Outage && s.phase !== Phase.Held && s.phase !== Phase.Fault) ||
      isExercise(s, now),
  },
  {
    name: 'I2 nothing holds the coil with stop or key seen',
    holds: (s) => s.drive === 0 || (s.seenStop === 0 && s.seenKey === 0),
  },
  {
    name: 'I6 the red lamp is lit in every tester fault',
    holds: (s) => s.phase !== Phase.Fault || s.red === 1,
  },
  {
    name: 'I8 no lamp is left undecided once the result is written',
    holds: (s) =>
      s.phase === Phase.Restoring || isTestPhase(s) || s.end === Reason.None || isEveryLampDecided(s),
  },
  {
    name: 'a test kind is named exactly while an opening is under way',
    holds: (s) => (s.kind !== TestKind.None) === (isTestPhase(s) || s.phase === Phase.Restoring),
  },
  {
    name: 'the queue of records stays short',
    holds: (s) => s.outCount <= Limit.QueuedRecords,
  },
];

/** Names of the claims that do not hold. */
export function brokenClaims(s: Core, now: number): string[] {
  const broken: string[] = [];
  for (const claim of always) if (!claim.holds(s, now)) broken.push(claim.name);
  return broken;
}
