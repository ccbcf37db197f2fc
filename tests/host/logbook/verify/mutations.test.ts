// Ten thousand known changes to a log book and to a backup of it; each must be refused, and its place named. What
// judges is the change itself. The roots that a witness and a person noted before are at hand, as they would be.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { type Noted, readNoted } from '../../../../host/logbook/verify/noted';
import type { BookReport } from '../../../../host/logbook/verify/verify';
import { changesOfEach } from '../../../support/depth';
import { type Books, copyBook, verified, writeBooks } from './book';
import { drawer } from './drawer';
import { MUTATIONS, type Mutation, mutate } from './mutate';

const RECORDS = 300;
/** All ten thousand: MUTATIONS=10000 in the environment. */
const each = changesOfEach(MUTATIONS.length, { quick: 3, usual: 6, deep: 40 });

let folder: string;
let books: Books;
let noted: Noted[];

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-mutations-'));
  const written = await writeBooks(folder, RECORDS, [RECORDS - 1, RECORDS - 60, 120]);
  books = written.books;
  noted = [...written.witnessed.map(readNoted), written.last];
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Whether a fault speaks of the place: entry by entry, or as the range it lies in. */
function names({ faults }: BookReport, { from = 0, to = 0 }: Mutation): boolean {
  if (from === 0) return faults.length > 0;
  // What comes after a missing entry names it.
  return faults.some((f) => f.entry <= to + 1 && (f.to ?? f.entry) >= from);
}

it.each(MUTATIONS)('%s: refused, and the place is named', async (kind) => {
  const draw = drawer(MUTATIONS.indexOf(kind) + 1);
  let refused = 0;
  let harmless = 0;
  for (let i = 0; i < each; i++) {
    const file = join(folder, `${kind.replaceAll(' ', '-')}${i}.db`);
    copyBook(books.whole, file);
    const mutation = mutate(kind, file, books, draw);
    const what = JSON.stringify({ ...mutation, i });
    try {
      const report = await verified(file, { noted });
      if (!report.valid) {
        refused++;
        expect(names(report, mutation), `${what} ${JSON.stringify(report.faults.slice(0, 5))}`).toBe(true);
      } else harmless++;
      // Bytes that say nothing, such as those of pages that are not used, may be anything.
      expect(report.valid && mutation.tells, what).toBe(false);
    } catch (error) {
      // Not recognised as a log book at all: refused by name.
      expect((error as Error).message, what).toMatch(
        /is not a log book|another program|newer version|cannot be opened/,
      );
      refused++;
    }
    for (const end of ['', '-wal', '-shm']) rmSync(file + end, { force: true });
  }
  expect(refused + harmless).toBe(each);
  expect(refused).toBeGreaterThan(0);
});
