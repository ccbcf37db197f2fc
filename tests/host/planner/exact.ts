// The least exposure of any plan for a small site, by a solver that knows nothing of the planner's methods:
// one binary variable for each share of a circuit and for each test in each night.
import type { LegacyHighs as Highs } from 'highs';
import { TestKind } from '../../../firmware/contract/codes';
import { Exposure } from '../../../host/planner/cost/exposure';
import { type Night, nightAt, noonOf, permittedNights } from '../../../host/planner/nights/nights';
import { lengthsOf } from '../../../host/planner/placing/circuitWork';
import type { RuleProfile } from '../../../host/profiles/profile';
import type { Circuit, Site } from '../../../host/site/model';
import { areNeighbours } from './checkPlan';

const DAY = 86400;
const SPACING = 2;
/** The first duration test comes within this many days, as in the planner. */
const FIRST_FULL_DAYS = 70;
/** Own nights recur after two nights per circuit in a connected group, or up to six nights more. */
const CYCLES = 7;

interface Share {
  cycle: number;
  residue: number;
}

/** Least cost of a test in a night, hours: every minute of the window is tried. */
function priceOf(
  exposure: Exposure,
  circuit: Circuit,
  kind: TestKind,
  night: Night,
  profile: RuleProfile,
): number {
  const { testSec, needSec, rechargeSec } = lengthsOf(circuit, kind, profile);
  let least = Number.POSITIVE_INFINITY;
  for (let start = night.start; start + needSec <= night.end; start += 60)
    least = Math.min(least, exposure.hours(circuit.id, start, start + testSec + rechargeSec));
  return least;
}

function apart(a: Share, b: Share): number {
  const gap = Math.abs(a.residue - b.residue);
  return a.cycle === b.cycle ? Math.min(gap, a.cycle - gap) : 0;
}

const sum = (names: string[]) => names.join(' + ');

/** The problem as text in the CPLEX LP format. */
function problem(site: Site, profile: RuleProfile, from: number, days: number): string {
  const noon = noonOf(site.timeZone, from);
  const until = from + days * DAY;
  const nights = permittedNights(site, noon, from + DAY, until);
  const [first, end] = [nightAt(from, noon), nightAt(until, noon)];
  const exposure = new Exposure(site, from, until + 9 * DAY);
  const shares: Share[] = [];
  const shortest = SPACING;
  for (let cycle = shortest; cycle < SPACING * site.circuits.length + CYCLES; cycle++)
    for (let residue = 0; residue < cycle; residue++) shares.push({ cycle, residue });
  const owns = ({ cycle, residue }: Share, { night }: Night) =>
    (((night - residue) % cycle) + cycle) % cycle === 0;
  const costs: string[] = [];
  const rules: string[] = [];
  const binaries: string[] = [];
  site.circuits.forEach((circuit, c) => {
    const y = shares.map((_, s) => `y${c}_${s}`);
    binaries.push(...y);
    rules.push(`${sum(y)} = 1`);
    nights.forEach((night, n) => {
      binaries.push(`b${c}_${n}`, `l${c}_${n}`);
      for (const [name, kind] of [
        ['b', TestKind.Brief],
        ['l', TestKind.Full],
      ] as const)
        costs.push(`${priceOf(exposure, circuit, kind, night, profile).toFixed(6)} ${name}${c}_${n}`);
      const mine = y.filter((_, s) => owns(shares[s], night));
      rules.push(`b${c}_${n} + l${c}_${n}${mine.map((name) => ` - ${name}`).join('')} <= 0`);
      const longs = site.circuits.map((_, d) => `l${d}_${n}`);
      rules.push(`${sum(longs)} + b${c}_${n} <= ${site.openingsAtOnce}`);
    });
    const within = (name: string, after: number, last: number) =>
      nights.flatMap(({ night }, n) => (night > after && night <= last ? [`${name}${c}_${n}`] : []));
    const most = profile.brief.latestDays.value;
    for (let t = first; t + most < end; t++) rules.push(`${sum(within('b', t, t + most))} >= 1`);
    rules.push(`${sum(within('l', first - 1, first + FIRST_FULL_DAYS))} >= 1`);
    site.circuits.forEach((other, d) => {
      if (d <= c || !areNeighbours(site, circuit.id, other.id)) return;
      shares.forEach((share, s) => {
        const clash = shares.flatMap((one, t) => (apart(share, one) < SPACING ? [`y${d}_${t}`] : []));
        rules.push(`y${c}_${s} + ${sum(clash)} <= 1`);
      });
    });
  });
  const rows = rules.map((rule, i) => ` r${i}: ${rule}`);
  return `Minimize\n obj: ${costs.join(' + ')}\nSubject To\n${rows.join('\n')}\nBinary\n ${binaries.join('\n ')}\nEnd\n`;
}

/**
 * The least exposure, hours, with every test at the cheapest minute of its night; undefined if no plan is in
 * time.
 */
export function leastExposure(
  highs: Highs,
  site: Site,
  profile: RuleProfile,
  from: number,
  days: number,
): number | undefined {
  const text = problem(site, profile, from, days);
  if (/: {2}>=|: >=/.test(text)) return undefined;
  const solution = highs.solve(text, { mip_rel_gap: 0.001, output_flag: false, time_limit: 60 });
  return solution.Status === 'Optimal' ? solution.ObjectiveValue : undefined;
}
