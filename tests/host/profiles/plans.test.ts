import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import { newSettings, takeSettings } from '../../../firmware/core/settings';
import type { MadePlan } from '../../../host/planner/plan/plan';
import { makePlan } from '../../../host/planner/planner';
import { needsSchedule, profileNames, profileOf, type RuleProfile } from '../../../host/profiles/profile';
import { utcOfLocal } from '../../../host/site/civil';
import { loadSite } from '../../../host/site/load';
import { circuitSettings } from '../../../host/site/settings';
import { sizes } from '../../support/depth';
import { checkPlan } from '../planner/checkPlan';
import { brokenRules } from './keepsRules';

const DAY = 86400;
const ALL_DAYS = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const;
const loaded = loadSite('docs/examples/museum-of-tides.yaml');
if ('mistakes' in loaded) throw new Error(loaded.mistakes[0].message);
const demo = loaded.site;
/** Weekly tests leave no spare night for a date without tests. */
const weekly = { ...demo, noTestDates: [] };
const everybody = new Set(demo.circuits.map((circuit) => circuit.id));

/** Around clock changes, and at the ends of years and months. */
const STARTS = ['2026-01-05T09:00', '2026-03-28T20:00', '2026-07-31T23:59', '2026-10-24T01:30'];
const SCHEDULE = { reference: 'CS 4711', briefDays: 31, fullDays: 182, fullMinutes: 90 };
const ready = (name: string): RuleProfile => profileOf(name, needsSchedule(name) ? SCHEDULE : undefined);
/** Five weeks, where the authority has agreed. */
const AGREED = profileOf('nfpa101-manual', undefined, { reference: 'letter 12', briefDays: 35 });
const siteFor = (name: string) => (name === 'germany' ? weekly : demo);
/** Where nights are so few that a duration test may replace the function test. */
const fullCounts = (name: string) => name === 'germany' || name === 'france-erp';

/** Where a value comes from: no plan depends on it. */
const WORDS = ['source', 'clause', 'year', 'status', 'reads'];
/** What a plan is made by. Profiles with the same values have the same plan: made once, judged for each. */
const valuesOf = ({ brief, full, fullBeforeOpening }: RuleProfile) =>
  JSON.stringify([brief, full, fullBeforeOpening], (key, value) => (WORDS.includes(key) ? undefined : value));

const made = new Map<string, MadePlan>();

/** The plan from that civil time on, made once; do not change it. */
function planOf(name: string, local: string, site = siteFor(name)): MadePlan {
  const key = `${valuesOf(ready(name))} ${local}`;
  const known = site === siteFor(name) ? made.get(key) : undefined;
  const plan = known ?? makePlan(site, ready(name), utcOfLocal(site.timeZone, local), 400);
  if (site === siteFor(name)) made.set(key, plan);
  return plan;
}

describe.each(profileNames())('the plan of the demonstration building under %s', (name) => {
  it.each(STARTS.slice(0, sizes.planStarts))('breaks no rule for 400 days from %s', (local) => {
    const site = siteFor(name);
    const plan = planOf(name, local);
    expect(plan.shortfalls).toEqual([]);
    expect(brokenRules(site, plan, ready(name), fullCounts(name))).toEqual([]);
    // Everything that does not depend on the profile's intervals, which the line above has checked.
    expect(checkPlan(site, plan, { late: everybody })).toEqual([]);
  });

  it('gives settings that every controller accepts', () => {
    const profile = ready(name);
    const plan = planOf(name, '2026-01-05T09:00');
    for (const circuit of demo.circuits) {
      const share = plan.circuits.find((own) => own.circuit === circuit.id)!;
      const message = circuitSettings(demo, circuit, share, profile, 1);
      const set = newSettings();
      expect(takeSettings(set, message), circuit.id).toBe(true);
      expect(set.briefSec).toBeGreaterThanOrEqual(profile.brief.leastSec?.value ?? 0);
      // A quarter of the shortest rated duration on the circuit: CIE 193:2010.
      const shortest = Math.min(...circuit.luminaires.map((lamp) => lamp.ratedSec));
      expect(set.briefSec).toBeLessThanOrEqual(shortest / 4);
    }
  });
});

describe('a weekly rule and dates without tests', () => {
  it('names each circuit that will be late, and no other', () => {
    // A few nights without tests can be avoided, a week cannot.
    const week = [19, 20, 21, 22, 23, 24, 25].map((day) => `2026-03-${day}`);
    const festival = { ...demo, noTestDates: week };
    const plan = planOf('germany', '2026-01-05T09:00', festival);
    const broken = brokenRules(festival, plan, ready('germany'), true);
    const late = new Set(broken.map((sentence) => sentence.split(':')[0]));
    expect(late.size).toBeGreaterThan(0);
    expect(new Set(plan.shortfalls.map((one) => one.circuit))).toEqual(late);
  });
});

describe('a rule with a minimum gap', () => {
  it('holds back the next test after one known before the plan (NFPA 101 7.9.3.1.1, three weeks)', () => {
    const from = utcOfLocal(demo.timeZone, '2026-06-01T12:00');
    const history = Object.fromEntries([...everybody].map((id) => [id, { lastBrief: from - 3 * DAY }]));
    const plan = makePlan(demo, ready('nfpa101-manual'), from, 100, { history });
    for (const own of plan.circuits) {
      const first = own.slots.find((slot) => slot.kind === TestKind.Brief)!;
      expect(first.start).toBeGreaterThan(from + 17 * DAY);
      expect(first.start).toBeLessThan(from + 32 * DAY);
    }
  });

  it('still leaves a second attempt if three and five weeks allow one, and no one is there to be spared', () => {
    const empty = { ...demo, areas: demo.areas.map((area) => ({ ...area, occupied: [] })) };
    const from = utcOfLocal(demo.timeZone, '2026-01-05T09:00');
    const plan = makePlan(empty, AGREED, from, 400);
    expect(brokenRules(empty, plan, AGREED, false)).toEqual([]);
    for (const own of plan.circuits) {
      const briefs = own.slots.filter((slot) => slot.kind === TestKind.Brief);
      const tests = new Set(briefs.map((slot) => slot.test));
      expect(briefs.length).toBeGreaterThan(tests.size + 4);
    }
  });
});

describe('a rule that requires full batteries at each opening', () => {
  it('leaves duration tests out and says so if the building never closes for a day', () => {
    const busy = { ...demo, opening: [{ ...demo.opening[0], days: [...ALL_DAYS] }], closedDates: [] };
    const plan = planOf('france-erp', '2026-01-05T09:00', busy);
    expect(plan.circuits.flatMap((own) => own.slots).some((slot) => slot.kind === TestKind.Full)).toBe(false);
    const named = plan.shortfalls.filter((one) => one.kind === TestKind.Full).map((one) => one.circuit);
    expect(new Set(named)).toEqual(everybody);
  });
});

describe('the checker of intervals in these tests', () => {
  const judged = (name: string, change: (plan: MadePlan) => void): string => {
    const plan = structuredClone(planOf(name, '2026-01-05T09:00'));
    change(plan);
    return brokenRules(siteFor(name), plan, ready(name), fullCounts(name)).join('; ');
  };
  const ground = (plan: MadePlan) => plan.circuits.find((own) => own.circuit === 'ground-a')!;

  it.each<[string, string, (plan: MadePlan) => void]>([
    ['days without', 'italy', (plan) => ground(plan).slots.splice(1, 9)],
    ['is too late', 'nfpa101-manual', (plan) => pushRetry(plan, 18)],
    ['comes within 21 days', 'nfpa101-manual', (plan) => pushRetry(plan, 12)],
    [
      'is not recharged when people come in',
      'france-erp',
      (plan) => {
        const full = ground(plan).slots.find((slot) => slot.kind === TestKind.Full)!;
        full.start += DAY;
        full.end += DAY;
      },
    ],
  ])('objects: %s', (words, name, change) => {
    expect(judged(name, change)).toContain(words);
  });

  /** Another attempt of the second function test, this many days after its first. */
  function pushRetry(plan: MadePlan, days: number): void {
    const { slots } = ground(plan);
    const briefs = slots.filter((slot) => slot.kind === TestKind.Brief);
    const second = briefs.filter((slot) => slot.test !== briefs[0].test)[0];
    slots.splice(slots.findLastIndex((slot) => slot.test === second.test) + 1, 0, {
      ...second,
      start: second.start + days * DAY,
      end: second.end + days * DAY,
    });
  }
});
