// The part of a report that is about one luminaire: nothing open about it is left out, and nothing of others is in it.
import { type DueDuty, scopesOfLuminaires } from '../duties/due';
import type { HumanCheck } from '../house/notes/inspected';
import { allIdsOf } from '../house/rows/listed';
import type { Circuit, Luminaire } from '../site/model';
import type { Deviation, Remark } from './findings';
import { type NextTest, nextTests } from './late';
import type { Report } from './report';
import { type LampTest, scheduledCircuits, testsOf } from './schedule';

export interface LuminaireReport extends Pick<Report, 'deviations' | 'defects' | 'unproven' | 'findings'> {
  report: Report;
  circuit: Circuit;
  luminaire: Luminaire;
  /** What people must look at there or in the whole site. */
  duties: DueDuty[];
  checks: HumanCheck[];
  /** Of its circuits. */
  remarks: Remark[];
  /** The function test and the duration test it needs next. */
  next: NextTest[];
}

/** Circuits in which it has been, with its own first. */
function circuitsOf({ found }: Report, { id }: Circuit, lamp: Luminaire): string[] {
  return [...new Set([id, ...found.circuitsOf(allIdsOf(lamp))])];
}

/** What is about the whole building may hide what happened to the luminaire. */
function concerns({ circuit, luminaires }: Deviation, circuits: string[], ids: readonly string[]): boolean {
  if (luminaires.length > 0) return luminaires.some((id) => ids.includes(id));
  return circuit === '' || circuits.includes(circuit);
}

/** @param id any id the luminaire ever had. @returns undefined if the site file has no such luminaire */
export function reportOf(report: Report, id: string): LuminaireReport | undefined {
  const { site, found, profile, period, now } = report;
  const luminaire = found.lampOf(id);
  const circuit = site.circuits.find(({ luminaires }) => luminaires.some((one) => one === luminaire));
  if (!luminaire || !circuit) return undefined;
  const [ids, circuits] = [allIdsOf(luminaire), circuitsOf(report, circuit, luminaire)];
  const scopes = scopesOfLuminaires(site).get(luminaire.id) ?? [];
  const isHere = ({ scope }: { scope: string }): boolean => scopes.includes(scope);
  const story = found.lamps.story(luminaire.id, circuit.id);
  return {
    ...{ report, circuit, luminaire },
    deviations: report.deviations
      .filter((one) => concerns(one, circuits, ids))
      .map((one) => ({ ...one, luminaires: one.luminaires.length > 0 ? [luminaire.id] : [] })),
    defects: report.defects.filter((one) => ids.includes(one.luminaire)),
    unproven: report.unproven.filter((one) =>
      one.luminaire === '' ? one.circuit === circuit.id : one.luminaire === luminaire.id,
    ),
    findings: report.findings.filter((one) =>
      one.luminaire === '' ? isHere(one) : ids.includes(one.luminaire),
    ),
    duties: report.duties
      .filter(({ left }) => left.length === 0 || left.includes(luminaire.id))
      .map((one) => ({ ...one, left: [] })),
    checks: found.checks.filter(isHere),
    remarks: [...found.remarks, ...found.troubles.remarks]
      .filter((one) => circuits.includes(one.circuit))
      .sort((a, b) => a.entry - b.entry),
    next: nextTests({ site, profile, period, now, begins: found.begins }, circuit, luminaire, story),
  };
}

/** Every test of it in the period, oldest first. */
export async function ownTests({ report, circuit, luminaire }: LuminaireReport): Promise<LampTest[]> {
  const circuits = circuitsOf(report, circuit, luminaire);
  const tests: LampTest[] = [];
  for (const id of scheduledCircuits(report).filter((one) => circuits.includes(one)))
    tests.push(...(await testsOf(report, id)).flat().filter((test) => test.luminaire === luminaire.id));
  return tests.sort((a, b) => a.at - b.at || a.entry - b.entry);
}
