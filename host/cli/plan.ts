// `plan`: the tests of the coming months as sentences, JSON, calendar and table. It opens no relay and sends
// nothing to a controller.
import { planTable } from '../calendar/csv';
import { planCalendar } from '../calendar/ics';
import { nowSec, systemClock } from '../clock';
import { type CostedTest, costedTests } from '../planner/cost/costed';
import type { MadePlan, PlannedTest } from '../planner/plan/plan';
import { makePlan } from '../planner/planner';
import { profileFor } from '../profiles/profile';
import { isDate, localDate } from '../site/civil';
import type { Site } from '../site/model';
import { testKindWord } from '../words/codes';
import { isoUtc } from '../words/when';
import { Mistake, PROGRAM } from './arguments';
import { type Forecast, forecastFrom } from './forecast';
import { checkNew, writeNew } from './newFile';
import { planText } from './planText';

export interface PlanCommandOptions {
  site: Site;
  /** Local date; today by default. */
  from?: string;
  months: number;
  ics?: string;
  csv?: string;
  /** Show instead what a new plan would change for people. */
  changes: boolean;
  /** The log book that holds the plan in force. */
  db: string;
  /** Name every circuit and area of a conflict. */
  all: boolean;
  json: boolean;
}

const NEXT =
  `Next: \`${PROGRAM} nights\` with this file tells what is tested next month.\n` +
  `Once controllers are fitted: \`${PROGRAM} serve\` with it, which makes log book and site secret (for controllers with ` +
  `--broker-host, for phones with --host); then \`${PROGRAM} commission\` for each circuit.\n`;

/** @throws Mistake */
function spanOf({ site, from, months }: PlanCommandOptions): Forecast {
  if (from !== undefined && !isDate(from))
    throw new Mistake(`--from must be a real date written YYYY-MM-DD, but is "${from}".`);
  return forecastFrom(site, from ?? localDate(site.timeZone, nowSec(systemClock)), months);
}

function planJson(made: MadePlan, tests: CostedTest[], seconds: number): string {
  return JSON.stringify({
    tests: tests.map(({ circuit, kind, start, end, recharged, more }) => ({
      ...{ circuit, kind: testKindWord(kind) },
      ...{ start: isoUtc(start), end: isoUtc(end), recharged: isoUtc(recharged) },
      ...(more && { more }),
    })),
    exposureHours: made.exposureHours,
    naiveExposureHours: made.naiveExposureHours,
    bestFixedNightHours: made.bestFixedNightHours,
    lowerBoundHours: made.lowerBoundHours,
    conflicts: made.conflicts.map((conflict) => ({
      ...conflict,
      ...{ from: isoUtc(conflict.from), until: isoUtc(conflict.until) },
    })),
    seconds,
  });
}

/** @returns the exit code. @throws Mistake with one sentence for an impossible request. */
export async function planCommand(o: PlanCommandOptions): Promise<number> {
  const { site } = o;
  if (o.changes) return (await import('./planChanges')).planChangesCommand(o);
  const { fromUtcSec, days, shownUntil } = spanOf(o);
  if (o.ics !== undefined) checkNew('--ics', o.ics);
  if (o.csv !== undefined) checkNew('--csv', o.csv);
  const begun = performance.now();
  const made = makePlan(site, profileFor(site), fromUtcSec, days);
  const seconds = Math.round(performance.now() - begun) / 1000;
  const shownOf = (tests: PlannedTest[]) =>
    shownUntil < made.until ? tests.filter(({ start }) => start < shownUntil) : tests;
  if (o.ics !== undefined) writeNew('--ics', o.ics, planCalendar(site, shownOf(made.tests), fromUtcSec));
  if (o.csv !== undefined || o.json) {
    const tests = costedTests(site, shownOf(made.tests), fromUtcSec);
    if (o.csv !== undefined) writeNew('--csv', o.csv, planTable(site, tests));
    if (o.json) process.stdout.write(`${planJson(made, tests, seconds)}\n`);
  }
  if (o.json) return 0;
  const said = { seconds, all: o.all, shownUntil };
  for (const piece of planText(site, made, shownOf(made.testsByCircuit), said)) process.stdout.write(piece);
  process.stdout.write(`\n${NEXT}`);
  return 0;
}
