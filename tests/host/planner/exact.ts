// The least exposure of any plan for a small site, by a solver that knows nothing of the planner's methods: no own
// nights, no shared ones, no room for a late start. One binary variable for each test at each half hour of each
// window; the rules are those of the profile.
import type { LegacyHighs as Highs } from 'highs';
import { TestKind } from '../../../firmware/contract/codes';
import { Exposure } from '../../../host/planner/cost/exposure';
import { type Night, nightAt, noonOf, permittedNights } from '../../../host/planner/nights/nights';
import { lengthsOf } from '../../../host/planner/placing/circuitWork';
import type { RuleProfile } from '../../../host/profiles/profile';
import type { Circuit, Site } from '../../../host/site/model';
import { areNeighbours } from './checkPlan';

const DAY = 86400;
const STEP = 1800;

/** One test that might be made. */
interface Option {
  name: string;
  circuit: number;
  kind: TestKind;
  night: number;
  start: number;
  /** Until when nothing else may be open with it: its slot's end. */
  end: number;
  recharged: number;
  hours: number;
}

/** When tests of a kind are due: nights after the one before, and the night of that. */
export interface Due {
  kind: TestKind;
  last: number;
  /** Fewest and most nights from one to the next. */
  least: number;
  most: number;
}

function optionsOf(
  exposure: Exposure,
  circuit: Circuit,
  index: number,
  kind: TestKind,
  nights: Night[],
  profile: RuleProfile,
): Option[] {
  const { testSec, needSec, rechargeSec } = lengthsOf(circuit, kind, profile);
  const out: Option[] = [];
  for (const { night, start: opens, end: closes } of nights)
    for (let start = opens; start + needSec <= closes; start += STEP) {
      const recharged = start + testSec + rechargeSec;
      out.push({
        ...{ name: `x${index}_${kind}_${night}_${start - opens}`, circuit: index, kind, night, start },
        ...{ end: start + needSec, recharged, hours: exposure.hours(circuit.id, start, recharged) },
      });
    }
  return out;
}

const sum = (options: Option[]) => options.map(({ name }) => name).join(' + ');

/** Of circuits that are all neighbours of each other, and of one circuit, at most one test is unready at any time. */
function oneUnready(options: Option[], circuits: Set<number>): string[] {
  const own = options.filter(({ circuit }) => circuits.has(circuit));
  return [...new Set(own.map(({ start }) => start))].map(
    (at) => `${sum(own.filter(({ start, recharged }) => start <= at && at < recharged))} <= 1`,
  );
}

/** The problem as text in the CPLEX LP format; undefined if a test has no night in time. */
function problem(site: Site, options: Option[], dues: Due[], end: number): string | undefined {
  const rules: string[] = [];
  for (const [c, circuit] of site.circuits.entries()) {
    rules.push(...oneUnready(options, new Set([c])));
    site.circuits.forEach((other, d) => {
      if (d > c && areNeighbours(site, circuit.id, other.id))
        rules.push(...oneUnready(options, new Set([c, d])));
    });
    for (const { kind, last, least, most } of dues) {
      const own = options.filter((one) => one.circuit === c && one.kind === kind);
      // In any interval as long as the rule's there is a test, first from the one before the plan.
      for (let from = last; from + most < end; from++) {
        const after = from === last ? last + least - 1 : from;
        const within = own.filter(({ night }) => night > after && night <= from + most);
        if (within.length === 0) return undefined;
        rules.push(`${sum(within)} >= 1`);
        if (kind !== TestKind.Brief) break;
      }
    }
  }
  for (const at of new Set(options.map(({ start }) => start))) {
    const open = options.filter((one) => one.start <= at && at < one.end);
    rules.push(`${sum(open)} <= ${site.openingsAtOnce}`);
  }
  const costs = options.map(({ name, hours }) => `${hours.toFixed(6)} ${name}`).join(' + ');
  const rows = rules.map((rule, i) => ` r${i}: ${rule}`);
  const names = options.map(({ name }) => name).join('\n ');
  return `Minimize\n obj: ${costs}\nSubject To\n${rows.join('\n')}\nBinary\n ${names}\nEnd\n`;
}

/** The least exposure, hours; undefined if no plan is in time, or none was proven best within a minute. */
export function leastExposure(
  highs: Highs,
  site: Site,
  profile: RuleProfile,
  from: number,
  days: number,
  dues: Due[],
): number | undefined {
  const noon = noonOf(site.timeZone, from);
  const until = from + days * DAY;
  const nights = permittedNights(site, noon, from + DAY, until);
  const exposure = new Exposure(site, from, until + 9 * DAY);
  const options = site.circuits.flatMap((circuit, c) =>
    dues.flatMap(({ kind }) => optionsOf(exposure, circuit, c, kind, nights, profile)),
  );
  const text = problem(site, options, dues, nightAt(until, noon));
  if (!text) return undefined;
  const solution = highs.solve(text, { mip_rel_gap: 0.001, output_flag: false, time_limit: 60 });
  return solution.Status === 'Optimal' ? solution.ObjectiveValue : undefined;
}
