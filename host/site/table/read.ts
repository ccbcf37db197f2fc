// A table of luminaires as it comes from a spreadsheet: any separator, UTF-8 or Windows-1252, columns in any order.
import { isUtf8 } from 'node:buffer';
import { CsvError, parse } from 'csv-parse/sync';
import { readBytes, utf8Text } from '../fileText';
import type { Mistake } from '../load';
import { nearest } from '../nearest';
import { plainCell } from './cells';
import { COLUMNS, type Column, columnOf, type Field } from './columns';

/** Largest table, bytes: some 100,000 luminaires. */
export const TABLE_BYTES_MAX = 16 * 1024 * 1024;

export interface Row {
  /** Line of the file in which it begins, from 1. */
  line: number;
  cells: Partial<Record<Field, string>>;
}

export interface Table {
  rows: Row[];
  /** Columns of the file that are not known and not used. */
  unused: string[];
}

const SEPARATORS = [',', ';', '\t'];

interface Parsed {
  record: string[];
  info: { lines: number };
}

/** All records that are not empty. @throws CsvError */
function records(text: string, delimiter: string, to?: number): Parsed[] {
  const options = { delimiter, info: true, relax_column_count: true, skip_empty_lines: true, trim: true };
  const found = parse(text, { ...options, relax_quotes: true, ...(to !== undefined && { to }) });
  return found as unknown as Parsed[];
}

/** The separator that makes the most known columns of the first row. */
function separatorOf(text: string): string {
  const said = /^sep=(.)/i.exec(text)?.[1];
  if (said) return said;
  const known = (delimiter: string): number => {
    try {
      return records(text, delimiter, 1)[0]?.record.filter((title) => columnOf(title)).length ?? 0;
    } catch {
      return 0;
    }
  };
  return SEPARATORS.reduce((best, one) => (known(one) > known(best) ? one : best));
}

function titlesMistakes(titles: string[], file: string, line: number): Mistake[] {
  const columns = titles.map(columnOf);
  const note = (message: string): Mistake => ({ file, line, field: '', message });
  const missing = COLUMNS.filter((one) => one.isNeeded && !columns.includes(one)).map((one) => one.title);
  const twice = COLUMNS.filter((one) => columns.filter((other) => other === one).length > 1);
  if (missing.length > 0) {
    const titled = titles.filter((title) => title !== '' && !columnOf(title));
    const near = titled.map((title) => nearest(title, missing)).find(Boolean);
    const hint = near ? `did you mean "${near}" by one of the others?` : 'write the titles in the first row';
    return [note(`there is no column "${missing.join('", "')}"; ${hint}${near ? '' : '.'}`)];
  }
  return twice.map(({ title }) => note(`there are two columns "${title}"; remove or rename one.`));
}

/** Line in which a record begins: csv-parse counts the one in which it ends. */
function firstLine({ record, info }: Parsed, skipped: number): number {
  return info.lines + skipped - record.join('').split('\n').length + 1;
}

const TOO_LONG = 'has more cells than titles; put a text that holds the separator between quotes.';

/** Columns that are not known, and those without a title in which something stands. */
function unusedOf(titles: string[], rows: Parsed[]): string[] {
  return titles.flatMap((title, i) => {
    if (title !== '') return columnOf(title) ? [] : [title];
    return rows.some(({ record }) => (record[i] ?? '') !== '') ? [`column ${i + 1}, which has no title`] : [];
  });
}

function tableOf(text: string, file: string): { table: Table } | { mistakes: Mistake[] } {
  const separator = separatorOf(text);
  const marked = /^sep=.\r?\n/i.exec(text)?.[0] ?? '';
  const skipped = marked === '' ? 0 : 1;
  const [head, ...rest] = records(text.slice(marked.length), separator);
  if (!head)
    return {
      mistakes: [{ file, line: 0, field: '', message: 'the table is empty; write one row per luminaire.' }],
    };
  const mistakes = titlesMistakes(head.record, file, firstLine(head, skipped));
  if (mistakes.length > 0) return { mistakes };
  const columns: (Column | undefined)[] = head.record.map(columnOf);
  const filled = rest.filter(({ record }) => record.some((cell) => cell !== ''));
  const tooLong = filled
    .filter(({ record }) => record.slice(columns.length).some((cell) => cell !== ''))
    .map((parsed) => ({ file, line: firstLine(parsed, skipped), field: '', message: TOO_LONG }));
  if (tooLong.length > 0) return { mistakes: tooLong };
  const rows = filled.map((parsed) => ({
    line: firstLine(parsed, skipped),
    cells: Object.fromEntries(
      parsed.record.flatMap((cell, i) =>
        columns[i] && cell !== '' ? [[columns[i].field, plainCell(cell)]] : [],
      ),
    ),
  }));
  const message = 'the table has no luminaire; write one row per luminaire under the titles.';
  if (rows.length === 0) return { mistakes: [{ file, line: 0, field: '', message }] };
  return { table: { rows, unused: unusedOf(head.record, filled) } };
}

/** Reads a table. Never throws, whatever is wrong with the file. */
export function readTable(file: string): { table: Table } | { mistakes: Mistake[] } {
  const read = readBytes(file, TABLE_BYTES_MAX, 'a table of luminaires as CSV text');
  if (!('bytes' in read)) return { mistakes: [{ file, field: '', ...read }] };
  const told = utf8Text(read.bytes);
  // Not UTF-8, but text: what spreadsheets of this part of the world write is Windows-1252.
  if (!('text' in told) && (told.line === 0 || isUtf8(read.bytes)))
    return { mistakes: [{ file, field: '', ...told }] };
  const text = 'text' in told ? told.text : new TextDecoder('windows-1252').decode(read.bytes);
  try {
    return tableOf(text, file);
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const line = Number((error as { lines?: number }).lines ?? 0);
    const message = 'a text in quotes does not end; write " at its end, and "" for a quote inside it.';
    return { mistakes: [{ file, line, field: '', message }] };
  }
}
