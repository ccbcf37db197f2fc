// When a new plan is made, and what people hear of it.
import { TestKind } from '../../../firmware/contract/codes';
import { type Owed, RETEST_DAYS } from '../../planner/keep';
import { openSlots, passedOf } from '../../planner/placing/startWorks';
import type { MadePlan, Plan, Slot } from '../../planner/plan/plan';
import { type CircuitHistory, makePlan } from '../../planner/planner';
import { type PlanChange, replan } from '../../planner/replan';
import { profileFor, type RuleProfile } from '../../profiles/profile';
import type { Site } from '../../site/model';

/** Length of a plan, and how much of it must be left before it is extended, days. */
const PLAN_DAYS = 400;
const LEFT_DAYS = 100;
const DAY_SEC = 86400;
/** Time in which a test result may still arrive from a controller that was cut off, s. */
const RESULT_SEC = DAY_SEC;
/** Days for which an overdue test gets further nights on top of the regular ones (our choice, no source). */
const TRIED_DAYS = 14;
/** Most lines reported about one new plan. */
const TOLD_MAX = 30;

export type History = (circuit: string) => CircuitHistory;

/** What a new plan is compared with. */
export interface Known {
  history: History;
  /** Tests that repairs ask for. */
  owed?: Owed[];
  /** By circuit the UTC second at which its batteries are full again, if later than a planned test. */
  fullAt?: Record<string, number>;
}

/** True while a plan reaches far enough. */
export function reachesFar(plan: Plan, now: number): boolean {
  return plan.until - now > LEFT_DAYS * DAY_SEC;
}

/** The plan for a site from now on: the first one, or the current one with as few changes as possible. */
export function renewedPlan(
  site: Site,
  inForce: Plan | undefined,
  now: number,
  { history: historyOf, owed = [], fullAt = {} }: Known,
): { plan: MadePlan; changes: PlanChange[] } {
  const history = Object.fromEntries(site.circuits.map(({ id }) => [id, historyOf(id)]));
  const profile = profileFor(site);
  if (!inForce) {
    const first = makePlan(site, profile, now, PLAN_DAYS, { history });
    const hasMore = owed.length > 0 || Object.keys(fullAt).length > 0;
    const { plan } = hasMore
      ? replan(site, profile, first, now, PLAN_DAYS, { history, owed, fullAt })
      : { plan: first };
    return { plan, changes: [] };
  }
  const days = reachesFar(inForce, now) ? (inForce.until - now) / DAY_SEC : PLAN_DAYS;
  return replan(site, profile, inForce, now, days, { history, owed, fullAt });
}

/** True if the plan has a test in time after a repair that its controller will make. */
export function isOwedPlanned(plan: Plan, { circuit, kind, from }: Owed, historyOf: History): boolean {
  const own = plan.circuits.find((one) => one.circuit === circuit);
  const to = from + RETEST_DAYS * DAY_SEC;
  if (!own) return true;
  const open = openSlots(own.slots, historyOf(circuit));
  return open.some((slot) => slot.kind === kind && slot.start >= from && slot.start <= to);
}

/**
 * Circuits whose batteries are not full in time for an attempt still to come, e.g. after an outage, with the
 * UTC second at which they are.
 * @param fullAtOf the UTC second at which a circuit's batteries are full again, 0 if they are full
 */
export function lateCharges(
  plan: Plan,
  now: number,
  fullAtOf: (circuit: string) => number,
  historyOf: History,
): Record<string, number> {
  const late: Record<string, number> = {};
  for (const { circuit, slots } of plan.circuits) {
    const fullAt = fullAtOf(circuit);
    if (fullAt <= now) continue;
    const first = slots.find((slot) => slot.end > now && slot.kind !== TestKind.None);
    if (!first || first.start >= fullAt || first.start <= now) continue;
    // The remaining attempts of a passed test are no loss.
    if (passedOf(first.kind, historyOf(circuit)) < slots.find((slot) => slot.test === first.test)!.start)
      late[circuit] = fullAt;
  }
  return late;
}

/** Between two checks, UTC seconds. */
interface Look {
  before: number;
  now: number;
}

/** True if a later test of the plan, on top of those that the rule asks for, shows as much in time. */
function isFollowedUp(last: Slot, slots: Slot[], { brief, full }: RuleProfile, passed: number): boolean {
  const isBrief = last.kind === TestKind.Brief;
  const due = passed + (isBrief ? brief : full).latestDays.value * DAY_SEC;
  const shows = (kind: TestKind) => kind === last.kind || (isBrief && kind !== TestKind.None);
  return slots.some((slot) => slot.start > last.end && slot.end <= due && shows(slot.kind));
}

/** True if the test with this last attempt was lost but could still pass on another night. */
function isLost(
  last: Slot,
  slots: Slot[],
  profile: RuleProfile,
  now: number,
  known: CircuitHistory,
  hasFurther: boolean,
): boolean {
  const isBrief = last.kind === TestKind.Brief;
  const passed = passedOf(last.kind, known);
  const first = slots.find((slot) => slot.test === last.test)!.start;
  if (passed >= first || (hasFurther && isFollowedUp(last, slots, profile, passed))) return false;
  // If several nights failed, people must look at it: more tests would only flatten batteries.
  const days = (isBrief ? profile.brief : profile.full).latestDays.value + TRIED_DAYS;
  return passed === 0 || now - passed <= days * DAY_SEC;
}

/**
 * True if a test of the plan used up its attempts between two checks without passing: void, or missed. A test
 * overdue for a fortnight is left to people.
 * @param hasFurther the plan has tests on top of those that the rule asks for: one that comes in time is enough
 */
export function hasLostTest(
  plan: Plan,
  profile: RuleProfile,
  { before, now }: Look,
  historyOf: History,
  hasFurther = false,
): boolean {
  const [from, to] = [before - RESULT_SEC, now - RESULT_SEC];
  return plan.circuits.some(({ circuit, slots }) =>
    slots.some((slot, i) => {
      if (slot.end <= from || slot.end > to || slot.kind === TestKind.None) return false;
      return (
        slots[i + 1]?.test !== slot.test && isLost(slot, slots, profile, now, historyOf(circuit), hasFurther)
      );
    }),
  );
}

/** What is reported when a new plan replaces the current one, before controllers get it. */
export function changeLines(changes: PlanChange[]): string[] {
  if (changes.length === 0) return [];
  const rest = changes.length - TOLD_MAX;
  const more = rest > 0 ? [`And ${rest} more changes; see the plan on the page.`] : [];
  return ['The plan changes:', ...changes.slice(0, TOLD_MAX).map(({ sentence }) => sentence), ...more];
}

/** What is reported of tests that a plan could not place in time; undefined if it placed them all. */
export function shortfallLine(plan: MadePlan): string | undefined {
  if (plan.shortfalls.length === 0) return undefined;
  const late = new Set(plan.shortfalls.map((shortfall) => shortfall.circuit));
  return (
    `Not enough test windows: ${plan.shortfalls.length} tests could not be planned in time, on circuits ` +
    `${[...late].join(', ')}. Run \`plan\` with this site file to see why and what would help.`
  );
}
