// From rows of a table to what a site file says: one circuit, area and floor for each name.
import type { Mistake } from '../load';
import { Ids, keyOf } from './ids';
import { type ExpectedCurrents, Reader, type Values } from './reader';
import { type Place, placeText, type Row } from './rows';

/** A luminaire as the site file says it. */
export type DraftLamp = Values & { id: string; area: string };

export interface DraftCircuit {
  id: string;
  name: string;
  floor: string;
  /** Undefined where no row says it. */
  shared?: boolean;
  luminaires: DraftLamp[];
}

export interface DraftArea {
  id: string;
  name: string;
  floor: string;
  /** Ids of the areas with the same name on other floors: probably one stair, so they adjoin. */
  beside: string[];
}

/** A floor plan that rows name; the table does not hold its picture. */
export interface DraftPlan {
  id: string;
  floor: string;
}

/** A site without its building. */
export interface Draft {
  floors: { id: string; name: string }[];
  floorPlans: DraftPlan[];
  areas: DraftArea[];
  circuits: DraftCircuit[];
  /** Each default that was used, in words. */
  defaults: string[];
  /** What may be meant otherwise, in words. */
  doubts: string[];
  /** Where each luminaire stands in the table. */
  places: Map<string, Place>;
}

const FLOOR_DEFAULT = 'ground';

/** Where a luminaire belongs, by names. */
interface Home {
  circuit: string;
  floor: string;
  area: string;
}

function homeOf(values: Values, reader: Reader): Home {
  const circuit = String(values.circuit);
  const floor = String(reader.or(values.floor, FLOOR_DEFAULT, `floor ${FLOOR_DEFAULT}`));
  return { circuit, floor, area: String(reader.or(values.area, circuit, 'area as the circuit')) };
}

/** The names that stand on more than one floor, by key: the name, and its floors by theirs. */
function onFloors(homes: Home[], what: 'area' | 'circuit'): Map<string, { name: string; floors: string[] }> {
  const all = new Map<string, { name: string; floors: Map<string, string> }>();
  for (const { [what]: name, floor } of homes) {
    const own = all.get(keyOf(name)) ?? { name, floors: new Map() };
    if (!own.floors.has(keyOf(floor))) own.floors.set(keyOf(floor), floor);
    all.set(keyOf(name), own);
  }
  const several = [...all].filter(([, { floors }]) => floors.size > 1);
  return new Map(several.map(([key, { name, floors }]) => [key, { name, floors: [...floors.values()] }]));
}

/** Floors, areas and circuits as they are named, each with its id. */
class Places {
  readonly floors = new Map<string, string>();
  readonly areas = new Map<string, DraftArea>();
  readonly circuits = new Map<string, DraftCircuit>();
  readonly areaIds = new Ids();
  private readonly floorIds = new Ids();
  private readonly circuitIds = new Ids();
  /** Areas made of one name on several floors. */
  private readonly twins = new Map<string, Set<string>>();

  /** The ids of a luminaire's circuit and area, which are made where they are new. */
  at({ floor, circuit, area }: Home, isTwin: boolean): { circuit: string; area: string } {
    const on = this.floorIds.of(floor);
    if (!this.floors.has(on)) this.floors.set(on, floor);
    const name = isTwin ? `${area}, ${floor}` : area;
    const [areaId, circuitId] = [this.areaIds.of(name), this.circuitIds.of(circuit)];
    if (!this.areas.has(areaId)) this.areas.set(areaId, { id: areaId, name, floor: on, beside: [] });
    if (isTwin) this.twins.set(keyOf(area), (this.twins.get(keyOf(area)) ?? new Set()).add(areaId));
    if (!this.circuits.has(circuitId))
      this.circuits.set(circuitId, { id: circuitId, name: circuit, floor: on, luminaires: [] });
    return { circuit: circuitId, area: areaId };
  }

  joinTwins(): void {
    for (const ids of this.twins.values())
      for (const id of ids) this.areas.get(id)!.beside = [...ids].filter((other) => other !== id);
  }
}

/** The place of each luminaire; an id that is there twice is noted. */
function placesOf(rows: Row[], all: Values[], reader: Reader): Map<string, Place> {
  const places = new Map<string, Place>();
  rows.forEach((row, i) => {
    if (all[i].id === undefined) return;
    const id = String(all[i].id);
    const first = places.get(id);
    if (first === undefined) places.set(id, row);
    else
      reader.note(
        row,
        row.titles?.id ?? 'id',
        `luminaire "${id}" is in ${placeText(first)} too; give each one its own id.`,
      );
  });
  return places;
}

/** Writes what rows say of a circuit's relay to the circuit; rows that disagree are noted. */
function share(rows: Row[], all: Values[], circuits: DraftCircuit[], reader: Reader): void {
  const first = new Map<DraftCircuit, Place>();
  rows.forEach((row, i) => {
    const { shared } = all[i];
    const circuit = circuits[i];
    if (typeof shared !== 'boolean') return;
    circuit.shared ??= shared;
    const before = first.get(circuit) ?? row;
    if (circuit.shared === shared) first.set(circuit, before);
    else
      reader.note(
        row,
        row.titles?.shared ?? 'shared',
        `${placeText(before)} says ${shared ? 'no' : 'yes'} for the same circuit; write the same for all of it.`,
      );
  });
}

function sharedDefault(circuits: DraftCircuit[]): string[] {
  const silent = circuits.filter(({ shared }) => shared === undefined).length;
  const which = silent === circuits.length ? 'all' : silent;
  return silent === 0
    ? []
    : [
        `no relay also switches off normal lighting, shared: false (${which} of ${circuits.length} circuits); ` +
          'where one does, write true, or it is opened without looking for people',
      ];
}

/** The floor plans that luminaires stand on, each on the floor of the first of them. */
function plansOf(circuits: DraftCircuit[], areas: Map<string, DraftArea>): DraftPlan[] {
  const plans = new Map<string, DraftPlan>();
  for (const { floorPlan, area } of circuits.flatMap(({ luminaires }) => luminaires)) {
    const id = String(floorPlan ?? '');
    if (id !== '' && !plans.has(id)) plans.set(id, { id, floor: areas.get(area)!.floor });
  }
  return [...plans.values()];
}

/** The name of the file that a table's floor plan is looked for in. */
export function pictureOf({ id }: DraftPlan): string {
  return `${id}.svg`;
}

function plansDefault(plans: DraftPlan[]): string[] {
  if (plans.length === 0) return [];
  const files = plans.map(pictureOf).join(', ');
  return [
    `pictures of the floor plans ${files}; put them beside the site file, or write their paths as picture`,
  ];
}

function doubtsOf(homes: Home[]): string[] {
  return [...onFloors(homes, 'circuit').values()].map(
    ({ name, floors }) =>
      `circuit ${name} has luminaires on ${floors.length} floors (${floors.join(', ')}) and is one circuit; if there ` +
      'are several, give each its own name',
  );
}

/** Mistakes as their rows follow each other, sheet by sheet. */
function inOrder(mistakes: Mistake[], rows: Row[]): Mistake[] {
  const sheets = [...new Set(rows.map(({ sheet }) => sheet))];
  const at = ({ sheet }: Mistake) => sheets.indexOf(sheet);
  return mistakes.sort((a, b) => at(a) - at(b) || a.line - b.line);
}

/**
 * Makes the floors, areas and circuits of rows.
 * @param today YYYY-MM-DD
 * @param expected currents of luminaires for which no row has one
 */
export function draftOf(
  rows: Row[],
  file: string,
  today: string,
  expected: ExpectedCurrents = {},
): { draft: Draft } | { mistakes: Mistake[] } {
  const reader = new Reader(file, today, expected);
  const all = rows.map((row) => reader.values(row));
  const placed = placesOf(rows, all, reader);
  const homes = all.map((values) => homeOf(values, reader));
  const twins = onFloors(homes, 'area');
  const places = new Places();
  const own = homes.map((home) => places.at(home, twins.has(keyOf(home.area))));
  places.joinTwins();
  const circuitsOfRows = own.map(({ circuit }) => places.circuits.get(circuit)!);
  share(rows, all, circuitsOfRows, reader);
  const lamps = rows.map((row, i) => reader.lamp(row, all[i]));
  if (reader.mistakes.length > 0) return { mistakes: inOrder(reader.mistakes, rows) };
  // By now all areas have their ids, which `serves` may name before their first row.
  lamps.forEach(({ circuit: _, floor: __, shared: ___, serves, ...rest }, i) => {
    const lit = serves as string[] | undefined;
    circuitsOfRows[i].luminaires.push({
      ...rest,
      id: String(rest.id),
      area: own[i].area,
      ...(lit && { serves: lit.map((one) => places.areaIds.meant(one)) }),
    });
  });
  const circuits = [...places.circuits.values()];
  const floorPlans = plansOf(circuits, places.areas);
  const draft = {
    floors: [...places.floors].map(([id, name]) => ({ id, name })),
    floorPlans,
    areas: [...places.areas.values()],
    circuits,
    defaults: [...reader.defaults(rows.length), ...sharedDefault(circuits), ...plansDefault(floorPlans)],
    doubts: doubtsOf(homes),
    places: placed,
  };
  return { draft };
}
