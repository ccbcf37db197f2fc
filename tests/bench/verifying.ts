// What it costs to verify a long log book: processor time and memory for so many entries.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openInspected, openLogbook } from '../../host/logbook/engines/open';
import { verifyBook } from '../../host/logbook/verify/verify';
import { KEYS, newJournal, resultFields } from '../host/logbook/records';

const LAMPS = Array.from({ length: 4 }, () => [1, 0, 90, 300, 300, 290, 2]);
const BATCH = 2000;

export interface VerifyCost {
  entries: number;
  /** Processor time, s. */
  cpuSec: number;
  /** Most memory in use while verifying, beyond what was in use before, bytes. */
  bytes: number;
}

/** Writes a log book of `entries` records of ten controllers and verifies it, signatures included. */
export async function measureVerify(entries: number): Promise<VerifyCost> {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-bench-'));
  const file = join(folder, 'bench.db');
  try {
    const logbook = await openLogbook(file);
    const journals = Array.from({ length: 10 }, (_, i) => newJournal(`bench/c${i}`));
    for (let from = 0; from < entries; from += BATCH)
      await logbook.appendBatch(
        Array.from({ length: Math.min(BATCH, entries - from) }, (_, i) =>
          journals[i % 10].record('result', resultFields(LAMPS)),
        ),
      );
    await logbook.close();
    const before = process.memoryUsage().rss;
    let most = before;
    const cpu = process.cpuUsage();
    const book = await openInspected(file);
    const report = await verifyBook(book, {
      keys: KEYS,
      onProgress: () => {
        most = Math.max(most, process.memoryUsage().rss);
      },
    });
    book.close();
    const { user, system } = process.cpuUsage(cpu);
    if (!report.valid || report.entries !== entries) throw new Error('The log book is not whole.');
    return { entries, cpuSec: (user + system) / 1e6, bytes: most - before };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
