// `plan`: the tests of the coming months as sentences, JSON, calendar and table. It opens no relay and sends
// nothing to a controller.
import { planTable } from '../calendar/csv';
import { planCalendar } from '../calendar/ics';
import { nowSec, systemClock } from '../clock';
import { planInForce } from '../house/desired/desired';
import { lateCharges, renewedPlan } from '../house/desired/renewal';
import { readPast } from '../house/past';
import { presentKeys } from '../keys';
import { isLogbookThere, openLogbook } from '../logbook/engines/open';
import { type CostedTest, costedTests } from '../planner/cost/costed';
import type { MadePlan } from '../planner/plan/plan';
import { makePlan } from '../planner/planner';
import { profileFor } from '../profiles/profile';
import { expectOwn } from '../proof/owner';
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
  `Next: \`${PROGRAM} serve\` with this file, which makes log book and site secret (for controllers with ` +
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

/** What `serve` would change in the current plan if it started now; nothing is sent. @throws Mistake */
async function changesCommand({ site, db, json }: PlanCommandOptions): Promise<number> {
  if (!(await isLogbookThere(db))) throw new Mistake(`There is no log book ${db}; give its file with --db.`);
  const logbook = await openLogbook(db);
  try {
    await expectOwn(logbook, site, db);
    const inForce = planInForce(await logbook.memory.all());
    if (!inForce)
      throw new Mistake(`The log book ${db} holds no plan yet; run \`plan\` without --changes to see one.`);
    const past = await readPast(logbook, site, presentKeys(db));
    const history = (circuit: string) => past.history.of(circuit).last;
    const owed = site.circuits.flatMap((circuit) => past.owed(circuit));
    const now = nowSec(systemClock);
    const full = (circuit: string) => Math.max(0, ...past.repairsCharged(circuit));
    const fullAt = lateCharges(inForce.plan, now, full, history);
    const { changes } = renewedPlan(site, inForce.plan, now, { history, owed, fullAt });
    const lines = changes.length > 0 ? changes.map(({ sentence }) => sentence) : ['Nothing changes.'];
    process.stdout.write(`${json ? JSON.stringify({ changes }) : lines.join('\n')}\n`);
    return 0;
  } finally {
    await logbook.close();
  }
}

/** @returns the exit code. @throws Mistake with one sentence for an impossible request. */
export async function planCommand(o: PlanCommandOptions): Promise<number> {
  const { site } = o;
  if (o.changes) return changesCommand(o);
  const { fromUtcSec, days, shownUntil } = spanOf(o);
  if (o.ics !== undefined) checkNew('--ics', o.ics);
  if (o.csv !== undefined) checkNew('--csv', o.csv);
  const begun = performance.now();
  const made = makePlan(site, profileFor(site), fromUtcSec, days);
  const seconds = Math.round(performance.now() - begun) / 1000;
  // The text goes circuit by circuit; for a large plan that takes half as long as to sort its tests again.
  const isText = !o.json && o.ics === undefined && o.csv === undefined;
  const planned = isText ? made.testsByCircuit : made.tests;
  const shown = shownUntil < made.until ? planned.filter(({ start }) => start < shownUntil) : planned;
  const tests: CostedTest[] = costedTests(site, shown, fromUtcSec);
  if (o.ics !== undefined) writeNew('--ics', o.ics, planCalendar(site, shown, fromUtcSec));
  if (o.csv !== undefined) writeNew('--csv', o.csv, planTable(site, tests));
  const next = o.json ? '' : NEXT;
  const said = { seconds, all: o.all, shownUntil };
  process.stdout.write(
    `${o.json ? planJson(made, tests, seconds) : planText(site, made, tests, said)}\n${next}`,
  );
  return 0;
}
