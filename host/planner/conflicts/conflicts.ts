// What cannot be done with this wiring and these hours, in words: which circuits, which nights, and the least change
// that would solve it. One reason is told once, for all circuits it holds for.
import { TestKind } from '../../../firmware/contract/codes';
import type { Cited, RuleProfile } from '../../profiles/rule';
import { testName } from '../../words/codes';
import { DAY_SEC } from '../nights/nights';
import type { Conflict, Shortfall } from '../plan/plan';
import { type Late, lateTests } from './lateTests';
import { lateWords } from './lateWords';
import { crowdedAreas, type Judged, oddGroups } from './wiring';

function cited({ source, clause }: Cited<unknown>): string {
  return clause ? `${source}, ${clause}` : source;
}

function ruleWords(kind: TestKind, profile: RuleProfile): string {
  const { latestDays } = kind === TestKind.Brief ? profile.brief : profile.full;
  return `${testName(kind)} at least every ${latestDays.value} days (${cited(latestDays)})`;
}

function lateConflict(late: Late, j: Judged): Conflict {
  const { reason, kind, interval, lastDue } = late;
  const { profile } = j.placing;
  const circuits = [...late.circuits];
  return {
    about: 'late',
    circuits: circuits.map(({ id }) => id),
    areas: [...new Set(circuits.flatMap(({ areas }) => areas))].sort(),
    rule:
      reason.why === 'opening' && profile.fullBeforeOpening
        ? `batteries full whenever the building opens (${cited(profile.fullBeforeOpening)})`
        : ruleWords(kind, profile),
    from: j.noon + interval.first * DAY_SEC,
    until: j.noon + (lastDue + 1) * DAY_SEC,
    ...lateWords(late, j),
  };
}

/** Everything that could not be done in time, then what the wiring does not allow. */
export function conflictsOf(shortfalls: Shortfall[], j: Judged): Conflict[] {
  const lates = lateTests(shortfalls, j);
  // Why neighbours take turns is told with the tests that are late for it.
  const told = new Set(lates.flatMap(({ rivals }) => [...rivals.values()].flat()).map(({ id }) => id));
  return [...lates.map((late) => lateConflict(late, j)), ...crowdedAreas(j), ...oddGroups(j, told)];
}
