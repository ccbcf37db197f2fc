// A table of luminaires as it comes from a spreadsheet: a workbook or text, columns in any order.
import { extname } from 'node:path';
import { readBytes } from '../fileText';
import type { Mistake } from '../load';
import { csvTable } from './csv';
import { type DateOrder, settleDates } from './dates';
import type { ReadTable } from './rows';
import { Titles, type TitlesSaid } from './titles';

/** Largest table, bytes: some 100,000 luminaires as text. */
const TABLE_BYTES_MAX = 16 * 1024 * 1024;

/** How packed files begin, with or without contents (APPNOTE.TXT 6.3.10, 4.3). */
const PACKED = ['504b0304', '504b0506'];
/** How workbooks from before .xlsx begin, and those with a password (Compound File Binary Format, [MS-CFB] 2.2). */
const COMPOUND = Buffer.from('d0cf11e0a1b11ae1', 'hex');
const LOCKED = Buffer.from('EncryptedPackage', 'utf16le');

/** What a file is that is neither a workbook nor text, in one sentence; undefined for one of these. */
function alien(bytes: Buffer, file: string): string | undefined {
  if (bytes.subarray(0, COMPOUND.length).equals(COMPOUND))
    return bytes.includes(LOCKED)
      ? 'the spreadsheet has a password; save it without one.'
      : 'this is an old file such as .xls; save it as .xlsx or as CSV text.';
  if (/^\.xls[xmb]$/i.test(extname(file)))
    return 'this is no spreadsheet, whatever its name says; open it in a spreadsheet program and save it as .xlsx or as CSV text.';
  return undefined;
}

/** What a person says of a table that it does not say itself. */
export interface TableSaid extends TitlesSaid {
  /** Names of the sheets of a workbook to read; undefined for the only one that has the columns. */
  sheet?: string[];
  /** The order of day and month where the dates do not tell. */
  dates?: DateOrder;
}

/**
 * Reads a table, whichever kind of file it is, whatever is wrong with it.
 * @throws Error with one sentence for a column said that does not exist
 */
export async function readTable(file: string, said: TableSaid = {}): Promise<ReadTable> {
  const titles = new Titles(said);
  const read = await tableIn(file, titles, said.sheet);
  const unseen = titles.unseen().map((message) => ({ file, line: 0, field: '', message }));
  // Where no title was read, the file itself is what is wrong.
  const isRead = 'table' in read || read.mistakes.some(({ line }) => line > 0);
  if (isRead && unseen.length > 0)
    return { mistakes: [...unseen, ...('mistakes' in read ? read.mistakes : [])] };
  if ('table' in read) read.table.undecided.push(...settleDates(read.table.rows, said.dates, file));
  return read;
}

async function tableIn(file: string, titles: Titles, sheets?: string[]): Promise<ReadTable> {
  const wrong = (one: Omit<Mistake, 'file' | 'field'>) => ({ mistakes: [{ file, field: '', ...one }] });
  const read = readBytes(file, TABLE_BYTES_MAX, 'a table of luminaires, .xlsx or CSV text');
  if (!('bytes' in read)) return wrong(read);
  const { bytes } = read;
  if (PACKED.includes(bytes.toString('hex', 0, 4))) {
    const { workbookTable } = await import('./workbook');
    return workbookTable(bytes, file, titles, sheets);
  }
  const message = alien(bytes, file);
  if (message) return wrong({ line: 0, message });
  if (sheets) return wrong({ line: 0, message: 'this is text and has no sheets; leave out --sheet.' });
  return csvTable(bytes, file, titles);
}
