// What a site is as Sparkplug metrics: the building those of the node, each circuit a device, its luminaires among the
// metrics of that.
import type { Circuit, Site } from '../../site/model';
import type { BuildingStatus } from '../schema';
import type { CircuitMessages } from '../status';
import type { DataTypeName, Value } from './payload';

/** One thing that is told, with its value once something is known. */
export interface Told<T> {
  name: string;
  /** Unique in the node. */
  alias: number;
  type: DataTypeName;
  of(from: T): Value;
}

type Row<T> = [string, DataTypeName, (from: T) => Value];

const ms = (at: string | null): Value => (at === null ? null : Date.parse(at));

const BUILDING: Row<BuildingStatus>[] = [
  ['Verdict', 'String', ({ verdict }) => verdict],
  ['Simulated', 'Boolean', ({ simulated }) => simulated],
  ['Luminaires/Pass', 'UInt32', ({ luminaires }) => luminaires.pass],
  ['Luminaires/Fail', 'UInt32', ({ luminaires }) => luminaires.fail],
  ['Luminaires/Not proven', 'UInt32', ({ luminaires }) => luminaires.notProven],
  ['Controllers silent', 'UInt32', ({ circuits }) => circuits.silent + circuits.neverHeard],
  ['Open defects', 'UInt32', ({ openDefects }) => openDefects],
  ['Circuits testing', 'UInt32', ({ testing }) => testing],
  ['Next test', 'DateTime', ({ nextTestAt }) => ms(nextTestAt)],
];

const CIRCUIT: Row<CircuitMessages>[] = [
  ['Contact', 'String', ({ circuit }) => circuit.contact],
  ['State', 'String', ({ circuit }) => circuit.state],
  ['Supply/Before relay', 'Boolean', ({ circuit }) => circuit.supply.beforeRelay],
  ['Supply/Behind relay', 'Boolean', ({ circuit }) => circuit.supply.behindRelay],
  ['Troubles', 'String', ({ circuit }) => circuit.troubles.map(({ trouble }) => trouble).join(' ')],
  ['Next function test', 'DateTime', ({ circuit }) => ms(circuit.nextTestAt.brief)],
  ['Next duration test', 'DateTime', ({ circuit }) => ms(circuit.nextTestAt.full)],
  ['Last function test', 'DateTime', ({ circuit }) => ms(circuit.lastTestAt.brief)],
  ['Last duration test', 'DateTime', ({ circuit }) => ms(circuit.lastTestAt.full)],
];

function luminaireRows({ luminaires }: Circuit): Row<CircuitMessages>[] {
  return luminaires.flatMap(({ id }, i): Row<CircuitMessages>[] => [
    [`Luminaires/${id}/Verdict`, 'String', (from) => from.luminaires[i].verdict],
    [`Luminaires/${id}/Reason`, 'String', (from) => from.luminaires[i].reason?.words ?? null],
  ]);
}

export interface SiteMetrics {
  node: Told<BuildingStatus>[];
  /** By id of the circuit. */
  devices: Map<string, Told<CircuitMessages>[]>;
}

/** @param from first alias that is free */
export function metricsOf(site: Site, from: number): SiteMetrics {
  let alias = from;
  const numbered = <T>(rows: Row<T>[]): Told<T>[] =>
    rows.map(([name, type, of]) => ({ name, type, of, alias: alias++ }));
  return {
    node: numbered(BUILDING),
    devices: new Map(
      site.circuits.map((circuit) => [circuit.id, numbered([...CIRCUIT, ...luminaireRows(circuit)])]),
    ),
  };
}
