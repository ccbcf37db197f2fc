// Calculates the exposure of a plan without any of the planner's code: its own civil time (Intl), half hour
// by half hour.
import type { MadePlan, PlannedTest } from '../../../host/planner/plan/plan';
import type { Area, Site, Weekday } from '../../../host/site/model';
import { civil } from './checkPlan';

const DAY = 86400;
/** People come and go on the half hour here, in every zone. */
const HALF_HOUR = 1800;
const BRIEF = 1;
const LIMITED = 3;
const WEEKDAYS: Weekday[] = ['sun', 'mon', 'tue', 'wed', 'thu', 'fri', 'sat'];

/**
 * True if people are in an area at a UTC second. Where the clocks change, its hours are read so that people
 * are there longer: from the earlier of two instants until the later.
 */
function presence(site: Site, local: (utc: number) => number): (area: Area, utc: number) => boolean {
  const known = new Map<number, number[]>();
  const instants = (edge: number) => {
    const either = known.get(edge) ?? [edge - DAY, edge + DAY].map((near) => edge - (local(near) - near));
    known.set(edge, either);
    // A skipped time matches neither offset, a repeated one both.
    const real = either.filter((utc) => local(utc) === edge);
    return real.length > 0 ? real : either;
  };
  return (area, utc) => {
    if (area.always) return true;
    const today = Math.floor(local(utc) / DAY) * DAY;
    // If midnight is skipped, the hours of the next day may begin before it.
    return [today + DAY, today, today - DAY].some((day) => {
      const date = new Date(day * 1000);
      if (site.closedDates.includes(date.toISOString().slice(0, 10))) return false;
      return area.occupied.some(({ days, from, to }) => {
        const until = to > from ? to : to + 1440;
        const isDay = days.includes(WEEKDAYS[date.getUTCDay()]);
        if (!isDay) return false;
        return utc >= Math.min(...instants(day + from * 60)) && utc < Math.max(...instants(day + until * 60));
      });
    });
  };
}

/** Hours of exposure of one test. */
function hoursOf(site: Site, test: PlannedTest, isOccupied: ReturnType<typeof presence>): number {
  const own = site.circuits.find((circuit) => circuit.id === test.circuit)!.luminaires;
  const all = site.circuits.flatMap((circuit) => circuit.luminaires);
  const parts = site.areas.map((area) => {
    const serving = (lamps: typeof all) => lamps.filter((lamp) => lamp.serves.includes(area.id)).length;
    return { area, share: serving(own) === 0 ? 0 : serving(own) / serving(all) };
  });
  const lit = parts.filter(({ share }) => share > 0);
  let sum = 0;
  for (let at = test.start, next = at; at < test.recharged; at = next) {
    next = Math.min((Math.floor(at / HALF_HOUR) + 1) * HALF_HOUR, test.recharged);
    for (const { area, share } of lit) if (isOccupied(area, (at + next) / 2)) sum += share * (next - at);
  }
  return sum / 3600;
}

/** Hours of exposure of tests, added up. */
export function exposureHours(site: Site, tests: PlannedTest[]): number {
  const isOccupied = presence(site, civil(site.timeZone));
  return tests.reduce((sum, test) => sum + hoursOf(site, test, isOccupied), 0);
}

/**
 * What is wrong with the tests and the exposure that a plan claims, as sentences.
 * @param briefSec length of function tests and their recharge, s
 */
export function checkExposure(
  site: Site,
  plan: MadePlan,
  briefSec: { test: number; recharge: number },
): string[] {
  const complaints: string[] = [];
  const firsts = plan.circuits.flatMap(({ circuit, slots }) =>
    slots
      .filter((slot, i) => slot.test !== slots[i - 1]?.test)
      .map((slot) => `${circuit} ${slot.test} ${slot.kind} ${slot.start}`),
  );
  const told = plan.tests.map(({ circuit, test, kind, start }) => `${circuit} ${test} ${kind} ${start}`);
  if (firsts.sort().join() !== told.sort().join())
    complaints.push('the tests are not the first chances of the slots');
  for (const { circuit, test, kind, start, end, recharged } of plan.tests) {
    const rated = Math.max(
      ...site.circuits.find((c) => c.id === circuit)!.luminaires.map((lamp) => lamp.ratedSec),
    );
    const length = kind === BRIEF ? briefSec.test : kind === LIMITED ? (rated * 2) / 3 : rated;
    if (end - start !== length) complaints.push(`${circuit} test ${test} has a wrong length`);
    if (recharged - end !== (kind === BRIEF ? briefSec.recharge : DAY))
      complaints.push(`${circuit} test ${test} has a wrong recharge`);
  }
  const mine = exposureHours(site, plan.tests);
  if (Math.abs(mine - plan.exposureHours) > 0.001)
    complaints.push(`the exposure is ${mine.toFixed(2)} h, not ${plan.exposureHours.toFixed(2)} h`);
  if (plan.lowerBoundHours > plan.exposureHours + 1e-6 && plan.shortfalls.length === 0)
    complaints.push(
      `the bound ${plan.lowerBoundHours.toFixed(2)} h lies above ${plan.exposureHours.toFixed(2)} h`,
    );
  return complaints;
}
