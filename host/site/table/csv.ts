// A table of luminaires as text: any separator, UTF-8 or Windows-1252.
import { isUtf8 } from 'node:buffer';
import { CsvError, parse } from 'csv-parse/sync';
import { utf8Text } from '../fileText';
import { HEADING_LINES, knownTitles, type Line, type ReadTable, tableOf, titleLine } from './rows';
import type { Titles } from './titles';

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

/** The separator that makes the most known columns of one of the first lines. */
function separatorOf(text: string, titles: Titles): string {
  const said = /^sep=(.)/i.exec(text)?.[1];
  if (said) return said;
  const known = (delimiter: string): number => {
    try {
      const first = records(text, delimiter, HEADING_LINES);
      return Math.max(0, ...first.map(({ record }) => knownTitles(record, titles)));
    } catch {
      return 0;
    }
  };
  return SEPARATORS.reduce((best, one) => (known(one) > known(best) ? one : best));
}

/** Line in which a record begins: csv-parse counts the one in which it ends. */
function firstLine({ record, info }: Parsed, skipped: number): number {
  return info.lines + skipped - record.join('').split('\n').length + 1;
}

/** The line of the titles, and all below in which something stands. @throws CsvError */
function linesOf(text: string, titles: Titles): Line[] {
  const marked = /^sep=.\r?\n/i.exec(text)?.[0] ?? '';
  const skipped = marked === '' ? 0 : 1;
  const lines = records(text.slice(marked.length), separatorOf(text, titles))
    .filter(({ record }) => record.some((cell) => cell !== ''))
    .map((parsed) => ({ line: firstLine(parsed, skipped), cells: parsed.record }));
  return lines.slice(titleLine(lines, titles));
}

/** The table in the bytes of a text. Never throws, whatever they are. */
export function csvTable(bytes: Buffer, file: string, titles: Titles): ReadTable {
  const told = utf8Text(bytes);
  // Not UTF-8, but text: what spreadsheets of this part of the world write is Windows-1252.
  if (!('text' in told) && (told.line === 0 || isUtf8(bytes)))
    return { mistakes: [{ file, field: '', ...told }] };
  const text = 'text' in told ? told.text : new TextDecoder('windows-1252').decode(bytes);
  try {
    return tableOf(linesOf(text, titles), file, titles);
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const line = Number((error as { lines?: number }).lines ?? 0);
    const message = 'a text in quotes does not end; write " at its end, and "" for a quote inside it.';
    return { mistakes: [{ file, line, field: '', message }] };
  }
}
