// A stopped test as readers get it: with the next try.
import type { StoppedView } from '../../api/views';
import type { Plan } from '../../planner/plan/plan';
import type { CircuitStanding } from '../history/history';
import type { OverdueTimes } from '../history/overdue';
import { claimedOverdue } from '../history/stopped';
import { nextTest } from './nextTest';

/** Of a circuit: the test that somebody stopped and that is still owed, and what is overdue beside it. */
export interface StoppedAndOverdue {
  stopped: StoppedView | null;
  overdueAt: OverdueTimes;
  /** True if the controller counts this test among the overdue ones of such a plan. */
  isMiscounted(plan: number): boolean;
}

/** @param now UTC second */
export function stoppedAndOverdue(
  standing: Pick<CircuitStanding, 'stopped' | 'overdueAt' | 'last'>,
  circuit: string,
  plan: Plan | undefined,
  now: number,
): StoppedAndOverdue {
  const { stopped } = standing;
  if (stopped === null) return { stopped: null, overdueAt: standing.overdueAt, isMiscounted: () => false };
  const nextAt = nextTest(plan, circuit, standing.last, stopped.kind, now, stopped.at);
  const overdueAt = claimedOverdue(standing, nextAt, now);
  const { kind, at, by, who, unjudged, luminaires } = stopped;
  return {
    stopped: { kind, at, by, who, unjudged, luminaires, nextAt },
    overdueAt,
    isMiscounted: (revision) => overdueAt !== standing.overdueAt && revision === stopped.plan,
  };
}
