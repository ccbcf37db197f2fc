// The process that `logbook verify` starts: reads the file, and says what it finds as it finds it.
import { existsSync } from 'node:fs';
import { type KeyRing, openKeys, secretFileOf, sha256Raw } from '../keys';
import { isLogbookThere, openInspected } from '../logbook/engines/open';
import type { Fault } from '../logbook/fault';
import { readNoted } from '../logbook/verify/noted';
import { type BookReport, verifyBook } from '../logbook/verify/verify';
import { parseKey } from '../proof/verifierKey';
import { namerOf } from './faultNames';
import type { PartOrders, PartWord } from './logbook';
import { readSite } from './siteFile';

/** Keys from the secret beside the log book, or why there are none. */
function keysOf({ db, secret = secretFileOf(db) }: PartOrders): { keys?: KeyRing; why?: string } {
  if (!existsSync(secret)) return { why: `${secret} is missing` };
  try {
    return { keys: openKeys(secret) };
  } catch (error) {
    return { why: (error as Error).message.replace(/\.$/, '') };
  }
}

/** The report of a log book. @throws Error with one sentence if there is nothing to verify. */
async function verifyFile(
  orders: PartOrders,
  tell: (word: PartWord) => void = () => {},
): Promise<BookReport> {
  const { db, site } = orders;
  if (!(await isLogbookThere(db))) throw new Error(`There is no log book ${db}; give its file with --db.`);
  const { keys, why } = keysOf(orders);
  const book = await openInspected(db);
  try {
    const report = await verifyBook(book, {
      ...(keys && { keys }),
      ...(why !== undefined && { noKeys: why }),
      noted: orders.noted.map(readNoted),
      witnesses: orders.witness.map((key) => parseKey(key, sha256Raw)),
      onFault: (fault) => tell({ fault }),
      onProgress: (entries) => tell({ entries }),
    });
    if (site === undefined || report.faults.length === 0) return report;
    const name = namerOf(book, readSite(site), keys);
    const named = (fault: Fault): Fault => ({ ...fault, ...name(fault) });
    return { ...report, faults: report.faults.map(named) };
  } finally {
    book.close();
  }
}

/** Verifies as ordered and tells the parent process. */
export async function verifyPartCommand(json: string): Promise<number> {
  const tell = (word: PartWord): void => void process.send?.(word);
  try {
    tell({ report: await verifyFile(JSON.parse(json) as PartOrders, tell) });
  } catch (error) {
    tell({ cannot: (error as Error).message });
  }
  process.disconnect?.();
  return 0;
}
