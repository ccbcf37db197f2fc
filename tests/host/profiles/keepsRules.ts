// Checks the intervals of a plan by a profile alone: its own nights, civil time and opening times.
import type { CircuitPlan, Plan, Slot } from '../../../host/planner/plan/plan';
import type { RuleProfile } from '../../../host/profiles/profile';
import type { Site, Weekday } from '../../../host/site/model';
import { civil } from '../planner/checkPlan';

const DAY = 86400;
const STEP = 900;
const FULL = 2;
const WEEKDAYS: Weekday[] = ['sun', 'mon', 'tue', 'wed', 'thu', 'fri', 'sat'];

type Complain = (text: string) => void;

/** First and last night of each test's attempts. */
function chances(own: CircuitPlan, wanted: (slot: Slot) => boolean): { first: number; last: number }[] {
  const tests = new Map<number, { first: number; last: number }>();
  for (const slot of own.slots.filter(wanted)) {
    const night = Math.floor((slot.start - own.noon) / DAY);
    tests.set(slot.test, { first: tests.get(slot.test)?.first ?? night, last: night });
  }
  return [...tests.values()];
}

function checkLatest(plan: Plan, own: CircuitPlan, wanted: (s: Slot) => boolean, days: number): string[] {
  const night = (utc: number) => Math.floor((utc - own.noon) / DAY);
  const firsts = [night(plan.from), ...chances(own, wanted).map((test) => test.first), night(plan.until)];
  const gaps = firsts.slice(1).map((at, i) => at - firsts[i]);
  return gaps
    .filter((gap) => gap > days)
    .map((gap) => `${own.circuit}: ${gap} days without, ${days} allowed`);
}

function checkLeast(own: CircuitPlan, days: number): string[] {
  const tests = chances(own, (slot) => slot.kind !== FULL);
  return tests
    .slice(1)
    .filter((test, i) => test.first - tests[i].last < days)
    .map((test) => `${own.circuit}: the brief test of night ${test.first} comes within ${days} days`);
}

function checkRetries(own: CircuitPlan, days: number): string[] {
  const tests = chances(own, (slot) => slot.kind !== FULL);
  return tests
    .slice(1)
    .filter((test, i) => test.last !== test.first && test.last - tests[i].first > days)
    .map((test) => `${own.circuit}: a retry in night ${test.last} is too late`);
}

function isOpen(site: Site, local: number): boolean {
  const today = Math.floor(local / DAY) * DAY;
  return [today, today - DAY].some((day) => {
    if (site.closedDates.includes(new Date(day * 1000).toISOString().slice(0, 10))) return false;
    const weekday = WEEKDAYS[new Date(day * 1000).getUTCDay()];
    return site.opening.some((hours) => {
      const to = hours.to > hours.from ? hours.to : hours.to + 1440;
      return hours.days.includes(weekday) && local >= day + hours.from * 60 && local < day + to * 60;
    });
  });
}

/** However late in its slot a test ends, its recharge ends before people come in. */
function checkOpenings(site: Site, profile: RuleProfile, own: CircuitPlan, complain: Complain): void {
  const local = civil(site.timeZone);
  for (const slot of own.slots) {
    const recharge = slot.kind === FULL ? profile.full.rechargeSec.value : profile.brief.rechargeSec.value;
    for (let at = slot.start; at < slot.end + recharge; at += STEP) {
      if (!isOpen(site, local(at))) continue;
      complain(`${own.circuit}: test ${slot.test} is not recharged when people come in`);
      break;
    }
  }
}

/**
 * Everything in which a plan breaks a profile, as sentences.
 * @param fullCounts a duration test may replace the function test of its interval
 */
export function brokenRules(site: Site, plan: Plan, profile: RuleProfile, fullCounts: boolean): string[] {
  const complaints: string[] = [];
  const { brief, full } = profile;
  for (const own of plan.circuits) {
    complaints.push(
      ...checkLatest(plan, own, (slot) => fullCounts || slot.kind !== FULL, brief.latestDays.value),
      ...checkLatest(plan, own, (slot) => slot.kind === FULL, full.latestDays.value),
      ...checkRetries(own, brief.latestDays.value),
      ...checkLeast(own, brief.leastGapDays?.value ?? 1),
    );
    if (profile.fullBeforeOpening?.value) checkOpenings(site, profile, own, (text) => complaints.push(text));
  }
  return complaints;
}
