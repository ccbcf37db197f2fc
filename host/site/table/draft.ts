// From rows of a table to what a site file says: one circuit, area and floor for each name, defaults where a cell is
// empty. Every cell is checked by the schema of the site file.
import { modeOf, ON_MAINS, OnMains } from '../../../firmware/contract/lamps';
import { dateAfter } from '../civil';
import { hint } from '../hints';
import type { Mistake } from '../load';
import { aboutAt, fieldAt } from '../schema';
import { CHEMISTRY_DEFAULT, COLUMNS, type Column, type Field, wordOf } from './columns';
import { Ids } from './ids';
import type { Row } from './read';

type Value = string | number | string[];

/** A luminaire as the site file says it. */
export type DraftLamp = Partial<Record<Field, Value>> & { id: string; area: string };

export interface DraftCircuit {
  id: string;
  name: string;
  floor: string;
  luminaires: DraftLamp[];
}

export interface DraftArea {
  id: string;
  name: string;
  floor: string;
}

/** A site without its building. */
export interface Draft {
  floors: { id: string; name: string }[];
  areas: DraftArea[];
  circuits: DraftCircuit[];
  /** Each default that was used, in words. */
  defaults: string[];
  /** Line of the table for each luminaire. */
  lines: Map<string, number>;
}

/** A battery of which nothing is known is taken to be this old, days: four years, a design life (common practice, no source). */
const UNKNOWN_BATTERY_DAYS = 1461;
const MINUTES_DEFAULT = 180;
const FLOOR_DEFAULT = 'ground';

/** The value a cell means, before it is checked. */
function valueIn({ field, kind }: Column, cell: string): Value {
  if (kind === 'number') {
    const plain = cell.replace(',', '.');
    return /^[+-]?\d+(\.\d+)?$/.test(plain) ? Number(plain) : cell;
  }
  if (kind === 'list') return cell.split(/[;,\s]+/).filter(Boolean);
  const [, day, month, year] = kind === 'date' ? (/^(\d{1,2})\.(\d{1,2})\.(\d{4})$/.exec(cell) ?? []) : [];
  if (year) return `${year}-${month.padStart(2, '0')}-${day.padStart(2, '0')}`;
  const options = aboutAt(['circuits', 0, 'luminaires', 0, field])?.options;
  return options ? wordOf(field, cell, options) : cell;
}

/** What stands above a luminaire in the site file, and becomes an id there. */
const ABOVE: Field[] = ['circuit', 'floor', 'area', 'serves'];

class Reader {
  readonly mistakes: Mistake[] = [];
  /** Rows for which a default was used, by the words of that default. */
  private readonly defaulted = new Map<string, number>();

  constructor(
    private readonly file: string,
    private readonly today: string,
  ) {}

  note(line: number, field: string, message: string): void {
    this.mistakes.push({ file: this.file, line, field, message });
  }

  or<T>(value: T | undefined, fallback: T, words: string): T {
    if (value !== undefined) return value;
    this.defaulted.set(words, (this.defaulted.get(words) ?? 0) + 1);
    return fallback;
  }

  defaults(rows: number): string[] {
    return [...this.defaulted].map(
      ([words, n]) => `${words} (${n === rows ? 'all' : n} of ${rows} luminaires)`,
    );
  }

  /** The cells of a row as values, each checked; what is wrong is noted. */
  values({ line, cells }: Row): Partial<Record<Field, Value>> {
    const values: Partial<Record<Field, Value>> = {};
    for (const column of COLUMNS) {
      const { field, title } = column;
      const cell = cells[field];
      if (cell === undefined) {
        if (column.isNeeded) this.note(line, title, 'is empty; write it for every luminaire.');
        continue;
      }
      const value = valueIn(column, cell);
      values[field] = value;
      if (ABOVE.includes(field)) continue;
      const schema = fieldAt(['circuits', 0, 'luminaires', 0, field])!;
      const issue = schema.safeParse(value).error?.issues[0];
      if (!issue) continue;
      const instead = hint(aboutAt(['circuits', 0, 'luminaires', 0, field]), value);
      this.note(
        line,
        title,
        `${issue.message}, but is "${cell}"${instead && `; ${instead}`}${/\?$/.test(instead) ? '' : '.'}`,
      );
    }
    return values;
  }

  /** One row as a luminaire with its defaults; `area` and `serves` are ids by then. */
  lamp(row: Row, values: Partial<Record<Field, Value>>): Partial<Record<Field, Value>> {
    const { mainsMilliamps } = values;
    const guess = mainsMilliamps === undefined ? 'non-maintained' : 'maintained';
    const mode = this.or(
      values.mode,
      guess,
      'mode maintained where there is a current on mains, else non-maintained',
    );
    const old = dateAfter(this.today, -UNKNOWN_BATTERY_DAYS);
    const isLit = values.mode === undefined ? mainsMilliamps !== undefined : litOnMains(String(mode));
    if (isLit === true && mainsMilliamps === undefined)
      this.note(row.line, 'mains mA', `is empty; a ${mode} luminaire is lit on mains, so write its current.`);
    if (isLit === false && mainsMilliamps !== undefined)
      this.note(
        row.line,
        'mains mA',
        `the emergency lamp of a ${mode} luminaire is dark on mains; leave it empty.`,
      );
    if (String(values.batteryFitted ?? '') > this.today)
      this.note(
        row.line,
        'fitted',
        `${values.batteryFitted} is after today, ${this.today}; write the date on which the battery was fitted.`,
      );
    return {
      ...values,
      mode,
      place: this.or(values.place, String(values.id), 'place as the id'),
      ratedMinutes: this.or(
        values.ratedMinutes,
        MINUTES_DEFAULT,
        `rated duration ${MINUTES_DEFAULT} minutes`,
      ),
      chemistry: this.or(values.chemistry, CHEMISTRY_DEFAULT, `chemistry ${CHEMISTRY_DEFAULT}`),
      batteryFitted: this.or(values.batteryFitted, old, `battery fitted ${old}, as its age is not known`),
    };
  }
}

/** Whether a luminaire of this mode is lit on mains; undefined for no mode. */
function litOnMains(word: string): boolean | undefined {
  const schema = fieldAt(['circuits', 0, 'luminaires', 0, 'mode'])!;
  const mode = schema.safeParse(word);
  return mode.success
    ? ON_MAINS[modeOf(mode.data as Parameters<typeof modeOf>[0])] !== OnMains.Dark
    : undefined;
}

/** Areas of the same name on two floors are two. */
function sharedNames(all: Partial<Record<Field, Value>>[]): Set<string> {
  const floors = new Map<string, Set<string>>();
  for (const { area, floor } of all) {
    const name = String(area ?? '');
    floors.set(name, (floors.get(name) ?? new Set()).add(String(floor ?? '')));
  }
  return new Set([...floors].filter(([, on]) => on.size > 1).map(([name]) => name));
}

/** Floors, areas and circuits as they are named, each with its id. */
class Places {
  readonly floors = new Map<string, string>();
  readonly areas = new Map<string, DraftArea>();
  readonly circuits = new Map<string, DraftCircuit>();
  readonly areaIds = new Ids();
  private readonly floorIds = new Ids();
  private readonly circuitIds = new Ids();

  /** The ids of a luminaire's circuit and area, which are made where they are new. */
  at({ floor, circuit, area }: { floor: string; circuit: string; area: string }): {
    circuit: string;
    area: string;
  } {
    const on = this.floorIds.of(floor);
    if (!this.floors.has(on)) this.floors.set(on, floor);
    const [areaId, circuitId] = [this.areaIds.of(area), this.circuitIds.of(circuit)];
    if (!this.areas.has(areaId)) this.areas.set(areaId, { id: areaId, name: area, floor: on });
    if (!this.circuits.has(circuitId))
      this.circuits.set(circuitId, { id: circuitId, name: circuit, floor: on, luminaires: [] });
    return { circuit: circuitId, area: areaId };
  }
}

/**
 * Makes the floors, areas and circuits of rows.
 * @param today YYYY-MM-DD
 */
export function draftOf(
  rows: Row[],
  file: string,
  today: string,
): { draft: Draft } | { mistakes: Mistake[] } {
  const reader = new Reader(file, today);
  const all = rows.map((row) => reader.values(row));
  const twins = sharedNames(all);
  const places = new Places();
  const lines = new Map<string, number>();
  const lamps = rows.map((row, i) => {
    const values = all[i];
    const id = String(values.id);
    if (lines.has(id) && values.id !== undefined)
      reader.note(
        row.line,
        'id',
        `luminaire "${id}" is in line ${lines.get(id)} too; give each one its own id.`,
      );
    else lines.set(id, row.line);
    const circuit = String(values.circuit);
    const floor = String(reader.or(values.floor, FLOOR_DEFAULT, `floor ${FLOOR_DEFAULT}`));
    const area = String(reader.or(values.area, circuit, 'area as the circuit'));
    const own = places.at({ floor, circuit, area: twins.has(area) ? `${area}, ${floor}` : area });
    return { lamp: reader.lamp(row, values), id, own };
  });
  if (reader.mistakes.length > 0) return { mistakes: reader.mistakes.sort((a, b) => a.line - b.line) };
  // By now all areas have their ids, which `serves` may name before their first row.
  for (const { lamp, id, own } of lamps) {
    const { circuit: _, floor: __, serves, ...rest } = lamp;
    const lit = serves as string[] | undefined;
    places.circuits.get(own.circuit)!.luminaires.push({
      ...rest,
      id,
      area: own.area,
      ...(lit && { serves: lit.map((one) => places.areaIds.of(one)) }),
    });
  }
  const draft = {
    floors: [...places.floors].map(([id, name]) => ({ id, name })),
    areas: [...places.areas.values()],
    circuits: [...places.circuits.values()],
    defaults: reader.defaults(rows.length),
    lines,
  };
  return { draft };
}
