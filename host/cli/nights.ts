// `nights`: the nights of a month that have tests, in order, for whoever tells the people in the building.
import { areaNames } from '../calendar/areas';
import { nowSec, systemClock } from '../clock';
import { planInForce } from '../house/desired/desired';
import { isLogbookThere } from '../logbook/engines/open';
import { simulatedLine } from '../logbook/simulated';
import { type CostedTest, costedTests } from '../planner/cost/costed';
import { testsOf } from '../planner/measure';
import type { Plan, PlannedTest } from '../planner/plan/plan';
import { makePlan } from '../planner/planner';
import { profileFor } from '../profiles/profile';
import { dateAfter, localDate, monthsAfter, nightOf, noonOn } from '../site/civil';
import type { Site } from '../site/model';
import { CAUTION } from '../words/caution';
import { testKindWord, testName } from '../words/codes';
import { counted, inSentence } from '../words/counted';
import { clockWord, dateWord, isoUtc, laterWord } from '../words/when';
import { Mistake } from './arguments';
import { withLogbook } from './baseline';
import { forecastFrom } from './forecast';

export interface NightsOptions {
  site: Site;
  /** "2026-12"; the month after this one by default. */
  month?: string;
  db: string;
  json: boolean;
}

const MONTH = /^\d{4}-(0[1-9]|1[0-2])$/;

interface Found {
  plan: Plan;
  /** Where it comes from, one sentence. */
  from: string;
  /** A line before all others where the records are simulated, else ''. */
  mark: string;
}

/** The plan in force, or a forecast where no host has run yet. @throws Mistake */
async function planFor({ site, db }: NightsOptions, now: number): Promise<Found> {
  if (!(await isLogbookThere(db))) {
    const { fromUtcSec, days } = forecastFrom(site, localDate(site.timeZone, now));
    const plan = makePlan(site, profileFor(site), fromUtcSec, days);
    const from =
      `There is no log book ${db} yet, so this is a forecast: the nights are fixed when the host first starts. ` +
      'If there is one, give its file with --db.';
    return { plan, from, mark: '' };
  }
  return withLogbook({ site, db }, async (logbook) => {
    const inForce = planInForce(await logbook.memory.all());
    if (!inForce) throw new Mistake(`The log book ${db} holds no plan yet; start the host with it once.`);
    return {
      plan: inForce.plan,
      from: `From the plan in force in ${db}.`,
      mark: await simulatedLine(logbook),
    };
  });
}

interface NightTest extends CostedTest {
  /** UTC seconds at which it is made again if it could not be made. */
  again: number[];
}

interface Month {
  /** Local dates: its first day that the plan reaches, and the day after its last. */
  first: string;
  after: string;
}

/** Tells the instants in a month's nights, which begin at noon. */
function nightsOf({ timeZone }: Site, { first, after }: Month): (utcSec: number) => boolean {
  const [from, until] = [noonOn(timeZone, first), noonOn(timeZone, after)];
  return (utcSec) => utcSec >= from && utcSec < until;
}

/** A plan's tests with an attempt on a night that begins in the month, with their further attempts. */
function testsIn(site: Site, plan: Plan, isIn: (utcSec: number) => boolean): NightTest[] {
  const at = new Map<string, number[]>();
  for (const { circuit, slots } of plan.circuits)
    for (const { test, start } of slots) {
      const key = `${circuit} ${test}`;
      at.set(key, [...(at.get(key) ?? []), start]);
    }
  const attempts = ({ circuit, test }: PlannedTest) => at.get(`${circuit} ${test}`)!;
  const known = new Set(site.circuits.map(({ id }) => id));
  const circuits = plan.circuits.filter(({ circuit }) => known.has(circuit));
  const planned = testsOf({ ...plan, circuits }, site.circuits, profileFor(site)).filter((test) =>
    attempts(test).some(isIn),
  );
  return costedTests(site, planned, plan.from).map((test) => ({ ...test, again: attempts(test).slice(1) }));
}

function testLines(site: Site, test: NightTest, names: ReadonlyMap<string, string>): string[] {
  const { timeZone } = site;
  const { circuit, kind, start, end, recharged, exposureHours, again } = test;
  const nights = again.map((utcSec) => dateWord(nightOf(timeZone, utcSec).date));
  return [
    `  ${clockWord(start, timeZone)} to ${laterWord(end, start, timeZone)}  ${testName(kind)} of ${circuit}, ${names.get(circuit)}`,
    `      Areas: ${areaNames(site, circuit).join(', ')}. Batteries full again ${laterWord(recharged, start, timeZone)}.`,
    ...(exposureHours > 0 ? ['      People may be there before that: tell them.'] : []),
    ...(nights.length > 0 ? [`      If it cannot run then: the night of ${nights.join(', or of ')}.`] : []),
  ];
}

/** Night by night, in order of time. */
function nightLines(site: Site, tests: NightTest[]): string[] {
  const names = new Map(site.circuits.map(({ id, name }) => [id, name]));
  const nights = new Map<string, NightTest[]>();
  for (const test of tests) {
    const { date } = nightOf(site.timeZone, test.start);
    nights.set(date, [...(nights.get(date) ?? []), test]);
  }
  return [...nights].flatMap(([date, own]) => [
    `Night of ${dateWord(date)} to ${dateWord(dateAfter(date, 1))}`,
    ...own.flatMap((test) => testLines(site, test, names)),
    '',
  ]);
}

/** "3 nights, from the evening of the 1, 5 and 7.", for whoever only wants to tell people when. */
function shortLine({ timeZone }: Site, tests: NightTest[]): string {
  const days = [...new Set(tests.map(({ start }) => nightOf(timeZone, start).date))].sort();
  const words = days.map((date) => String(Number(date.slice(8))));
  return `${counted(words.length, 'night')}, from the evening of the ${inSentence(words)}.`;
}

/** Nights that only tests of an earlier month may still need. */
function spareLines(site: Site, tests: NightTest[], isIn: (utcSec: number) => boolean): string[] {
  if (tests.length === 0) return [];
  const nightWord = (utcSec: number) => dateWord(nightOf(site.timeZone, utcSec).date);
  const lines = tests.map(({ kind, circuit, start, again }) => {
    const nights = again.filter(isIn).map(nightWord);
    return `  night of ${nights.join(', or of ')}: ${testName(kind)} of ${circuit}, first planned for the night of ${nightWord(start)}`;
  });
  return ['Only if it could not run before:', ...lines, ''];
}

/** First date of the month asked for, and of the month after it. @throws Mistake */
function monthOf({ site, month }: NightsOptions, now: number): Month {
  if (month !== undefined && !MONTH.test(month))
    throw new Mistake(`--month must be a month written YYYY-MM, such as 2027-01, but is "${month}".`);
  const thisMonth = `${localDate(site.timeZone, now).slice(0, 7)}-01`;
  const first = month === undefined ? monthsAfter(thisMonth, 1) : `${month}-01`;
  return { first, after: monthsAfter(first, 1) };
}

/** What of the month the plan reaches. @throws Mistake if nothing */
function reached({ timeZone }: Site, { from, until }: Plan, { first, after }: Month): Month {
  const [begins, ends] = [nightOf(timeZone, from).date, localDate(timeZone, until)];
  if (after <= begins || first >= ends)
    throw new Mistake(
      `The plan is for ${dateWord(begins)} to ${dateWord(ends)}; give a month in that time with --month.`,
    );
  return { first: first < begins ? begins : first, after: after > ends ? ends : after };
}

function nightsJson(found: Found, tests: NightTest[]): string {
  return JSON.stringify({
    ...{ source: found.from, simulated: found.mark !== '' },
    tests: tests.map(({ circuit, kind, start, end, recharged, exposureHours, again }) => ({
      ...{ circuit, kind: testKindWord(kind), start: isoUtc(start), end: isoUtc(end) },
      ...{ recharged: isoUtc(recharged), exposureHours, again: again.map(isoUtc) },
    })),
  });
}

/** @returns the exit code. @throws Mistake with one sentence */
export async function nightsCommand(o: NightsOptions): Promise<number> {
  const { site, json } = o;
  const now = nowSec(systemClock);
  const asked = monthOf(o, now);
  const found = await planFor(o, now);
  const month = reached(site, found.plan, asked);
  const isIn = nightsOf(site, month);
  const tests = testsIn(site, found.plan, isIn);
  if (json) process.stdout.write(`${nightsJson(found, tests)}\n`);
  else {
    const days = `${dateWord(month.first)} to ${dateWord(dateAfter(month.after, -1))}`;
    const begun = tests.filter(({ start }) => isIn(start));
    const lines = [
      `${site.name}: ${counted(begun.length, 'test')}, ${days}. ${found.from}`,
      ...(begun.length > 0 ? [shortLine(site, begun)] : []),
      `Times are for ${site.timeZone}. A repair or a missed test may still move one; the page shows it at once.`,
      '',
      ...nightLines(site, begun),
      ...spareLines(
        site,
        tests.filter(({ start }) => !isIn(start)),
        isIn,
      ),
      CAUTION,
    ];
    process.stdout.write(`${found.mark}${lines.join('\n')}\n`);
  }
  return 0;
}
