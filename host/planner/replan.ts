// A new plan while one is in force: announced tests stay as far as they can, and changes are reported.
import { TestKind } from '../../firmware/contract/codes';
import type { RuleProfile } from '../profiles/profile';
import type { Site } from '../site/model';
import { testName } from '../words/codes';
import { dayWord, momentWord } from '../words/when';
import { type Lost, lostWords, type Owed, type Told } from './keep';
import type { Span } from './nights/calendar';
import { DAY_SEC } from './nights/nights';
import { passedOf } from './placing/startWorks';
import type { CircuitPlan, MadePlan, Plan, Slot } from './plan/plan';
import { type CircuitHistory, planAnew } from './planner';

export interface Happened {
  /** By circuit id, what has been passed; void and missed tests are not included. */
  history: Record<string, CircuitHistory>;
  /** By circuit id, the UTC second at which its batteries are full again, e.g. after an outage. */
  fullAt?: Record<string, number>;
  /** Tests owed again, e.g. after a repair. */
  owed?: Owed[];
}

/** One difference from what was announced. */
export interface PlanChange {
  /** Undefined where the whole site is meant. */
  circuit?: string;
  sentence: string;
}

export interface Replanned {
  plan: MadePlan;
  changes: PlanChange[];
}

/** Attempts of tests that are not over, by kind and first attempt. */
function testsFrom(own: CircuitPlan, now: number): Slot[][] {
  const byTest = new Map<number, Slot[]>();
  for (const slot of own.slots)
    if (slot.end > now && slot.kind !== TestKind.None)
      byTest.set(slot.test, [...(byTest.get(slot.test) ?? []), slot]);
  return [...byTest.values()];
}

const isSame = (a: Slot, b: Slot) => a.kind === b.kind && a.start === b.start && a.end === b.end;

/** What changes are described from. */
interface Context {
  site: Site;
  profile: RuleProfile;
  old: Plan;
  now: number;
  lost: Map<Span, Lost>;
  history: Record<string, CircuitHistory>;
  owed: Owed[];
  /** First attempts of tests on top of those that the rule asks for, by circuit and start. */
  further: Set<string>;
}

/**
 * When a new test is due: the rule's interval after the last passed or planned one, or soon after a repair.
 */
function dueWords(
  slot: Slot,
  after: CircuitPlan,
  { site, profile, now, history, owed, further }: Context,
): string {
  if (further.has(`${after.circuit} ${slot.start}`)) return ', on top of those the rule asks for (testMore)';
  const isFirstFrom = (from: number) =>
    after.slots.every((other) => other.kind !== slot.kind || other.start < from || other.start >= slot.start);
  const repaired = owed.find(({ circuit, kind }) => circuit === after.circuit && kind === slot.kind);
  if (repaired && isFirstFrom(repaired.from)) return ', due after a repair';
  const isBrief = slot.kind === TestKind.Brief;
  const before = after.slots.filter(
    (other) => other.start < slot.start && (isBrief || other.kind === slot.kind),
  );
  const passed = passedOf(slot.kind, history[after.circuit] ?? {});
  const last = Math.max(passed, ...before.map((one) => one.start));
  if (last === 0) return ', because none has been passed yet';
  const due = last + (isBrief ? profile.brief : profile.full).latestDays.value * DAY_SEC;
  return `, ${due < now ? 'overdue since' : 'due by'} ${dayWord(due, site.timeZone)}`;
}

/** What has changed for one circuit until the old plan ends. */
function changesOf(before: Slot[][], after: CircuitPlan, c: Context): PlanChange[] {
  const { site, old, now, lost } = c;
  const { circuit } = after;
  const at = (slot: Slot) => momentWord(slot.start, site.timeZone);
  const changes: PlanChange[] = [];
  const say = (sentence: string) => changes.push({ circuit, sentence: `Circuit ${circuit}: ${sentence}` });
  const unmatched = testsFrom(after, now).filter(([first]) => first.start < old.until);
  const why = (slot: Slot) => {
    const reason = lost.get(slot);
    return reason ? `, because ${lostWords(reason, site)}` : '';
  };
  const gone: Slot[][] = [];
  for (const chances of before) {
    const name = `the ${testName(chances[0].kind)}`;
    const match = unmatched.findIndex((test) =>
      test.some((slot) => chances.some((one) => isSame(one, slot))),
    );
    if (match < 0) {
      gone.push(chances);
      continue;
    }
    const [kept] = unmatched.splice(match, 1);
    for (const slot of chances)
      if (!kept.some((other) => isSame(other, slot)))
        say(`${name} can no longer run on ${at(slot)}${why(slot)}; ${at(kept[0])} stays.`);
  }
  for (const chances of gone) {
    const name = `the ${testName(chances[0].kind)}`;
    const same = unmatched.filter(([first]) => first.kind === chances[0].kind);
    const nearest = same.reduce<Slot[] | undefined>((best, test) => {
      const far = (one: Slot[]) => Math.abs(one[0].start - chances[0].start);
      return best && far(best) <= far(test) ? best : test;
    }, undefined);
    if (!nearest) {
      say(`${name} of ${at(chances[0])} is dropped${why(chances[0])}.`);
      continue;
    }
    unmatched.splice(unmatched.indexOf(nearest), 1);
    say(`${name} of ${at(chances[0])} moves to ${at(nearest[0])}${why(chances[0])}.`);
  }
  for (const [first] of unmatched)
    say(`an additional ${testName(first.kind)} on ${at(first)}${dueWords(first, after, c)}.`);
  return changes;
}

/**
 * The plan from now on. Announced tests keep their slots where wiring, windows, dates and caps still permit;
 * only where that leaves a test late are others inserted between them, and after the end of the plan in force
 * it continues.
 * @param now UTC second
 * @param days length of the new plan
 */
export function replan(
  site: Site,
  profile: RuleProfile,
  inForce: Plan,
  now: number,
  days: number,
  happened: Happened,
): Replanned {
  const told: Told = { plan: inForce, now, ...happened };
  const { plan, kept } = planAnew(site, profile, now, days, happened, told);
  const { lost, open } = kept;
  const context: Context = {
    site,
    profile,
    old: inForce,
    now,
    lost,
    history: happened.history,
    owed: happened.owed ?? [],
    further: new Set(
      plan.testsByCircuit.filter(({ more }) => more).map((test) => `${test.circuit} ${test.start}`),
    ),
  };
  const changes = plan.circuits.flatMap((own) => changesOf(open.get(own.circuit) ?? [], own, context));
  const known = new Set(plan.circuits.map((own) => own.circuit));
  for (const { circuit } of inForce.circuits)
    if (!known.has(circuit)) changes.push({ circuit, sentence: `Circuit ${circuit}: no longer planned.` });
  const later = plan.testsByCircuit.filter((test) => test.start >= inForce.until).length;
  if (later > 0)
    changes.push({
      sentence: `The plan continues after ${dayWord(inForce.until - 1, site.timeZone)} with ${later} more tests.`,
    });
  return { plan, changes };
}
