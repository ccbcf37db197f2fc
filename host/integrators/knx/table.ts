// The table of group addresses: which point of which thing has which. Made by a command and then kept, so that no address ever
// means something else because luminaires were added; both the host and whoever sets up the bus read it.
import { CsvError, parse } from 'csv-parse/sync';
import type { Site } from '../../site/model';
import { onOneLine, plainCell, tableText } from '../../site/table/cells';
import { ADDRESS_MAX, addressIn, addressText } from './address';
import { POINTS, pointsOf, type ThingKind } from './points';

/** One point of one thing. */
export interface Row {
  /** Undefined: it is not to be told. */
  address: number | undefined;
  building: string;
  what: ThingKind;
  id: string;
  point: string;
}

export type NamedRow = Row & { name: string };

const TITLES = ['address', 'building', 'what', 'id', 'point', 'type', 'name'] as const;
const NEEDED = TITLES.slice(0, 5);
const KINDS = Object.keys(POINTS) as ThingKind[];

const keyOf = ({ building, what, id, point }: Row): string => `${building}\n${what}\n${id}\n${point}`;

/** Every point of a site, without addresses. */
function rowsOf({ id: building, name, circuits }: Site): NamedRow[] {
  const of = (what: ThingKind, id: string, words: string): NamedRow[] =>
    pointsOf(what).map(({ name: point }) => ({
      ...{ address: undefined, building, what, id, point, name: `${words}: ${point}` },
    }));
  return [
    ...of('building', building, name),
    ...circuits.flatMap((circuit) => of('circuit', circuit.id, circuit.name)),
    ...circuits.flatMap(({ luminaires }) =>
      luminaires.flatMap(({ id, place }) => of('luminaire', id, `${id}, ${place}`)),
    ),
  ];
}

/**
 * Luminaires that have had another id before, by that.
 * @param named ids that have rows: a luminaire with rows of its own takes over none, every other those of one id
 */
function renamed({ circuits }: Site, named: ReadonlySet<string>): Map<string, string> {
  const luminaires = circuits.flatMap((circuit) => circuit.luminaires);
  return new Map(
    luminaires.flatMap(({ id, formerly = [] }) => {
      const before = named.has(id) ? undefined : formerly.find((one) => named.has(one));
      return before === undefined ? [] : [[before, id]];
    }),
  );
}

/** The same rows, those of luminaires that have another id now under that. */
function current(rows: readonly Row[], site: Site): Row[] {
  const isOwn = ({ building, what }: Row): boolean => building === site.id && what === 'luminaire';
  const now = renamed(site, new Set(rows.filter(isOwn).map(({ id }) => id)));
  return rows.map((row) => {
    const id = isOwn(row) ? now.get(row.id) : undefined;
    return id === undefined ? row : { ...row, id };
  });
}

export interface Match {
  /** Address by kind of thing, id and point. */
  addresses: Map<string, number>;
  /** Rows of what is not in the site. */
  strange: Row[];
  /** Points of the site that stand in no row. */
  missing: NamedRow[];
}

export const placeIn = (what: ThingKind, id: string, point: string): string => `${what}\n${id}\n${point}`;

/** What the rows say of a site. */
export function matchRows(rows: readonly Row[], site: Site): Match {
  const own = current(rows, site).filter(({ building }) => building === site.id);
  const there = rowsOf(site);
  const known = new Set(there.map(keyOf));
  const told = new Set(own.map(keyOf));
  return {
    addresses: new Map(
      own.flatMap(({ address, what, id, point }) =>
        address === undefined ? [] : [[placeIn(what, id, point), address]],
      ),
    ),
    strange: own.filter((row) => !known.has(keyOf(row))),
    missing: there.filter((row) => !told.has(keyOf(row))),
  };
}

/**
 * The rows with those that are missing for the sites, which get the next free addresses. What stands there keeps its address, also
 * what is in no site any more: the bus may still be set up for it.
 * @param from first address of new rows
 * @throws Error with one sentence if there are not enough addresses
 */
export function completed(rows: readonly Row[], sites: readonly Site[], from: number): NamedRow[] {
  const kept = sites.reduce<readonly Row[]>(current, rows);
  const there = new Map(sites.flatMap(rowsOf).map((row) => [keyOf(row), row]));
  const isKept = new Set(kept.map(keyOf));
  const isUsed = new Set(kept.map(({ address }) => address));
  let next = from;
  const fresh = [...there.values()]
    .filter((row) => !isKept.has(keyOf(row)))
    .map((row) => {
      while (isUsed.has(next)) next++;
      if (next > ADDRESS_MAX)
        throw new Error(
          `From ${addressText(from)} on there are not enough group addresses; choose a lower --from, or take rows out of the table.`,
        );
      return { ...row, address: next++ };
    });
  return [...kept.map((row) => ({ ...row, name: there.get(keyOf(row))?.name ?? '' })), ...fresh];
}

/** Highest address in the rows, 0 if there is none. */
export function highest(rows: readonly Row[]): number {
  return rows.reduce((most, { address = 0 }) => Math.max(most, address), 0);
}

export function groupTable(rows: readonly NamedRow[]): string {
  return tableText([
    [...TITLES],
    ...rows.map(({ address, building, what, id, point, name }) => [
      ...[address === undefined ? '' : addressText(address), building, what, id, point],
      ...[pointsOf(what).find((one) => one.name === point)!.type, name],
    ]),
  ]);
}

interface Parsed {
  record: Record<(typeof TITLES)[number], string | undefined>;
  info: { lines: number };
}

/** @throws Error with one sentence */
function parsed(text: string, file: string): Parsed[] {
  try {
    const options = { columns: true, info: true, skip_empty_lines: true, trim: true, bom: true };
    // A spreadsheet may have written another separator. A name, which may hold them all, stands last.
    const more = { delimiter: [',', ';', '\t'], relax_column_count: true };
    return parse(text, { ...options, ...more }) as unknown as Parsed[];
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    throw new Error(`${file} is no table of group addresses: ${error.message}`);
  }
}

/**
 * The rows of a table.
 * @param file its name, for the sentences
 * @throws Error with one sentence for the first mistake
 */
export function readGroupTable(text: string, file: string): Row[] {
  const lines = parsed(text, file);
  const [first] = lines;
  const lacking = NEEDED.find((title) => first && first.record[title] === undefined);
  if (!first || lacking)
    throw new Error(
      `${file} has no column ${lacking ?? NEEDED[0]}; write the table anew with \`nightproof knx-addresses\`.`,
    );
  const seen = new Map<string | number, number>();
  return lines.map(({ record, info }) => {
    const at = `${file}, line ${info.lines}`;
    const row = rowIn(record, at);
    const before = seen.get(keyOf(row));
    if (before !== undefined)
      throw new Error(`${at}: this point stands in line ${before} too; keep one of them.`);
    seen.set(keyOf(row), info.lines);
    if (row.address === undefined) return row;
    const other = seen.get(row.address);
    if (other !== undefined)
      throw new Error(
        `${at}: the group address ${addressText(row.address)} is that of line ${other} too; give each point its own.`,
      );
    seen.set(row.address, info.lines);
    return row;
  });
}

/** @throws Error with one sentence */
function rowIn(record: Parsed['record'], at: string): Row {
  const [address, building, kind, id, point] = NEEDED.map((title) => plainCell(record[title] ?? ''));
  const shown = (text: string) => JSON.stringify(onOneLine(text));
  const what = KINDS.find((one) => one === kind);
  if (!what) throw new Error(`${at}: what must be ${KINDS.join(', ')}, and not ${shown(kind)}.`);
  const known = pointsOf(what).find(({ name }) => name === point);
  if (!known)
    throw new Error(
      `${at}: a ${what} has the points ${pointsOf(what)
        .map(({ name }) => name)
        .join(', ')}, and not ${shown(point)}.`,
    );
  const type = record.type ?? known.type;
  if (type !== '' && type !== known.type)
    throw new Error(
      `${at}: the point ${point} of a ${what} has the type ${known.type}, and not ${shown(type)}.`,
    );
  const number = addressIn(address);
  if (address !== '' && number === undefined)
    throw new Error(
      `${at}: ${shown(address)} is no group address, from 0/0/1 to 31/7/255; a spreadsheet may have made a date of it.`,
    );
  return { address: number, building, what, id, point };
}
