// The current plan as people see it ahead: the nights of a year, and the calendar other programs subscribe
// to. Results are kept until the plan changes.

import type { PlanNight, PlanView } from '../../api/views';
import { planCalendar } from '../../calendar/ics';
import { costedTests, exposureFor } from '../../planner/cost/costed';
import type { Exposure } from '../../planner/cost/exposure';
import { testsOf } from '../../planner/measure';
import type { Plan, PlannedTest } from '../../planner/plan/plan';
import { profileFor } from '../../profiles/profile';
import { dateAfter, nightOf, noonOn } from '../../site/civil';
import type { Site } from '../../site/model';
import { testKindWord } from '../../words/codes';

export interface Outlook {
  view(): PlanView;
  /** RFC 5545 text; an empty calendar if there is no plan. */
  calendar(): string;
}

/** The nights a test and its recharge reach into. */
function nightsOf(
  test: PlannedTest & { dark: boolean | null },
  timeZone: string,
  exposure: Exposure,
): PlanNight[] {
  const { circuit, start, end, recharged, dark } = test;
  const kind = testKindWord(test.kind);
  const nights: PlanNight[] = [];
  let { date, noon } = nightOf(timeZone, start);
  while (noon < recharged) {
    const after = dateAfter(date, 1);
    const nextNoon = noonOn(timeZone, after);
    const hours = exposure.hours(circuit, Math.max(start, noon), Math.min(recharged, nextNoon));
    const mark = nights.length === 0 ? kind : 'recharge';
    nights.push({ circuit, date, mark, kind, start, end, recharged, dark, exposureHours: hours });
    [date, noon] = [after, nextNoon];
  }
  return nights;
}

/** A plan night by night, in order of time. */
export function planView(site: Site, plan: Plan): PlanView {
  const { from, until } = plan;
  const planned = testsOf(plan, site.circuits, profileFor(site));
  const exposure = exposureFor(site, planned, from);
  const tests = costedTests(site, planned, from, exposure);
  const nights = tests.flatMap((test) => nightsOf(test, site.timeZone, exposure));
  const exposureHours = tests.reduce((sum, test) => sum + test.exposureHours, 0);
  return { from, until, nights, exposureHours };
}

interface Made {
  plan: Plan;
  view?: PlanView;
  calendar?: string;
}

const NO_PLAN: Plan = { from: 0, until: 0, circuits: [] };

/** What lies ahead by the plan that is current at the time of the call. */
export function createOutlook(site: Site, inForce: () => Plan | undefined): Outlook {
  let known: Made = { plan: NO_PLAN };
  const current = (): Made => {
    const plan = inForce() ?? NO_PLAN;
    if (known.plan !== plan) known = { plan };
    return known;
  };
  return {
    view() {
      const now = current();
      now.view ??= planView(site, now.plan);
      return now.view;
    },
    calendar() {
      const now = current();
      const { plan } = now;
      now.calendar ??= planCalendar(site, testsOf(plan, site.circuits, profileFor(site)), plan.from);
      return now.calendar;
    },
  };
}
