// What the titles of a table mean: a column for certain, perhaps one, or nothing that a site file holds.
import { distance, nearest } from '../nearest';
import { aboutAt } from '../schema';
import { onOneLine } from './cells';
import { bare, CERTAIN, COLUMNS, type Column, type Field, PERHAPS, wordOf } from './columns';
import { type DateOrder, orderIn } from './dates';
import { isUnit, unitsIn } from './units';

/** What a person says of titles that nobody else can tell. */
export interface TitlesSaid {
  /** Each as TITLE=COLUMN. */
  column?: string[];
  ignoreColumn?: string[];
  /** Current on battery that is expected where the table has none, mA. */
  batteryMa?: number;
}

/** A column as a table has it. */
export interface Head {
  /** As it stands in the table, on one line. */
  title: string;
  column: Column;
  /** The unit the title names. */
  unit?: string;
  /** The order of dates the title names. */
  dates?: DateOrder;
  /** It may mean something else: the cells tell. */
  isPerhaps: boolean;
}

/** A title with a column it may mean, none of which has another title. */
export interface Unsure {
  title: string;
  columns: Column[];
}

/** What brackets behind a title say of its cells. */
const NOTES =
  /\b(?:d{1,2}\W+m{1,3}\W+y{2,4}|m{1,2}\W+d{1,2}\W+y{2,4}|y{4}\W+m{1,2}\W+d{1,2}|y\W+n|yes\W+no)\b/i;

/** Titles near a known one that mean something else. */
const OTHERS = ['model', 'models'];

const wordsOf = (title: string) =>
  title
    .toLowerCase()
    .split(/[^a-z0-9°]+/)
    .filter(Boolean);

/** Titles are the same whatever their case, spaces and line breaks. */
const keyOf = (title: string) => title.trim().toLowerCase().replace(/\s+/g, ' ');

/** The column a title is taken for; undefined where it is not certain. */
export function headOf(text: string): Head | undefined {
  const title = onOneLine(text);
  const plain = title.replace(NOTES, ' ');
  const words = wordsOf(plain);
  const rest = words.filter((word) => !isUnit(word)).join('');
  const all = bare(plain);
  const column = CERTAIN.get(all) ?? PERHAPS.get(all) ?? CERTAIN.get(bare(rest)) ?? PERHAPS.get(bare(rest));
  if (!column) return undefined;
  const isWhole = CERTAIN.get(all) === column || PERHAPS.get(all) === column;
  const units = words.filter((word) => unitsIn(word, column.measure) !== undefined);
  // A unit of something else, or two of them: this is not the title it looks like.
  if (!isWhole && (units.length !== 1 || words.filter(isUnit).length !== 1)) return undefined;
  const isPerhaps = CERTAIN.get(all) !== column && CERTAIN.get(bare(rest)) !== column;
  const dates = orderIn(title);
  return { title, column, isPerhaps, ...(units.length > 0 && { unit: units[0] }), ...(dates && { dates }) };
}

/** Whether a title is spelled almost like this one. */
function isNear(given: string, known: string): boolean {
  const slips = known.length >= 8 ? 2 : known.length >= 5 ? 1 : 0;
  return slips > 0 && !OTHERS.includes(given) && distance(given, known) <= slips;
}

/** The columns a title may mean: it has a word of theirs, or is spelled almost like a title of theirs. */
function columnsLike(title: string): Column[] {
  const words = wordsOf(title);
  const given = bare(title);
  return COLUMNS.filter(
    ({ title: own, also, perhaps = [], words: theirs = [] }) =>
      words.some((word) => theirs.includes(word)) ||
      [own, ...also, ...perhaps].some((name) => isNear(given, bare(name))),
  );
}

function isWordOf(field: Field, cell: string): boolean {
  const options = aboutAt(['circuits', 0, 'luminaires', 0, field])?.options ?? [];
  return options.includes(wordOf(field, cell, options));
}

/** A text as one word of a command line. */
export function quoted(text: string): string {
  return /["$`\\!]/.test(text) ? `'${text.replaceAll("'", "'\\''")}'` : `"${text}"`;
}

/**
 * A title and the column it may mean, as `--column` takes them, with the unit the title names: "Rated hrs" is never
 * taken for minutes.
 */
export function takenAs(title: string, column: Column): string {
  const unit = wordsOf(title).find((word) => (unitsIn(word, column.measure) ?? 1) !== 1);
  const names = [column.title, ...column.also].map((name) => (unit === undefined ? name : `${name} ${unit}`));
  const name = names.find((one) => {
    const head = headOf(one);
    return head?.column === column && head.unit === unit;
  });
  return quoted(`${title}=${name ?? column.title}`);
}

/** Reads the titles of one table, or of each sheet of it. */
export class Titles {
  private readonly assigned = new Map<string, Head>();
  private readonly ignored: Map<string, string>;
  private readonly seen = new Map<string, string>();
  private readonly hasExpected: boolean;

  /** @throws Error with one sentence for a column that does not exist */
  constructor({ column = [], ignoreColumn = [], batteryMa }: TitlesSaid = {}) {
    this.hasExpected = batteryMa !== undefined;
    this.ignored = new Map(ignoreColumn.map((title) => [keyOf(title), title]));
    for (const text of column) {
      const [, title = '', name = ''] = /^(.*\S)\s*=\s*(\S.*)$/s.exec(text) ?? [];
      const head = headOf(name);
      if (title === '' || !head) {
        const names = COLUMNS.map((one) => one.title);
        const near = nearest(name, names);
        throw new Error(
          `--column must be a title and the column it is, such as "Type of fitting=mode", but is "${text}"; ` +
            (near ? `did you mean "${near}"?` : `the columns are ${names.join(', ')}.`),
        );
      }
      this.assigned.set(keyOf(title), { ...head, title: onOneLine(title), isPerhaps: false });
    }
  }

  /** Whether no site is made of a table without this column. */
  isNeeded({ field, isNeeded }: Column): boolean {
    return isNeeded === true && !(field === 'batteryMilliamps' && this.hasExpected);
  }

  /** The column of a title, which a person said or which is certain. */
  head(title: string): Head | undefined {
    const key = keyOf(title);
    if (key === '') return undefined;
    if (this.ignored.has(key)) return undefined;
    const said = this.assigned.get(key);
    if (said) return said;
    const head = headOf(title);
    return head && [...this.assigned.values()].some(({ column }) => column === head.column)
      ? undefined
      : head;
  }

  /** The columns under these titles; `cells` gives those under one. */
  heads(titles: string[], cells: (i: number) => string[]): (Head | undefined)[] {
    for (const title of titles) if (title !== '') this.seen.set(keyOf(title), onOneLine(title));
    const heads = titles.map((title) => this.head(title));
    const certain = heads.flatMap((head) => (head && !head.isPerhaps ? [head.column] : []));
    return heads.map((head, i) => {
      if (!head?.isPerhaps) return head;
      const texts = cells(i).filter((cell) => cell !== '');
      const fit = texts.filter((text) => isWordOf(head.column.field, text)).length;
      return certain.includes(head.column) || fit * 2 <= texts.length ? undefined : head;
    });
  }

  /** Titles without a column that may mean one for which there is no other. */
  unsure(titles: string[], heads: (Head | undefined)[]): Unsure[] {
    // Where no title is known, this is no line of titles.
    if (!heads.some(Boolean)) return [];
    const taken = heads.map((head) => head?.column);
    return titles.flatMap((title, i) => {
      if (heads[i] || this.ignored.has(keyOf(title))) return [];
      const columns = columnsLike(title).filter((column) => !taken.includes(column));
      return columns.length > 0 ? [{ title: onOneLine(title), columns }] : [];
    });
  }

  /** One sentence for each title that a person named and no sheet has. */
  unseen(): string[] {
    const seen = [...this.seen.values()].map((title) => `"${title}"`).join(', ');
    const say = (option: string) => (title: string) =>
      `${option} ${quoted(title)}: no column has that title; the titles are ${seen}.`;
    const missing = (keys: Map<string, unknown>) => [...keys.keys()].filter((key) => !this.seen.has(key));
    return [
      ...missing(this.assigned).map((key) => say('--column')(this.assigned.get(key)!.title)),
      ...missing(this.ignored).map((key) => say('--ignore-column')(this.ignored.get(key)!)),
    ];
  }
}
