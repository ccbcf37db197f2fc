// Known changes to a backup, and then `logbook restore` and `logbook verify` as a person runs them, with the roots and
// the witness's key at hand. Each is refused, its place is named, and nothing is put in place of a log book.
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { keepSeededKeys, secretFileOf } from '../../host/keys';
import { toBase64 } from '../../host/proof/bytes';
import { signedHead } from '../../host/proof/checkpoint';
import { keyText } from '../../host/proof/verifierKey';
import { type Books, copyBook, WITNESS, writeBooks } from '../host/logbook/verify/book';
import { drawer } from '../host/logbook/verify/drawer';
import { MUTATIONS, type Mutation, mutate } from '../host/logbook/verify/mutate';
import { changesOfEach, depth } from '../support/depth';
import { run } from './support/cli';

const RECORDS = 300;
const each = changesOfEach(MUTATIONS.length, { quick: 1, usual: 1, deep: 1 });

let folder: string;
let books: Books;
let outside: string[];

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-backups-'));
  const written = await writeBooks(folder, RECORDS, [RECORDS - 1, 120]);
  books = written.books;
  const { witnessed, last } = written;
  const secret = secretFileOf(books.whole);
  keepSeededKeys(secret, 1);
  const roots = witnessed
    .map((note) => signedHead(note))
    .concat({ origin: '', size: last.size!, root: last.root });
  const noted = roots.flatMap(({ size, root }) => ['--noted', `${size}:${toBase64(root)}`]);
  outside = [...noted, '--witness', keyText(WITNESS.key), '--secret', secret];
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Whether what was said speaks of an entry that was changed, of one next to it, or of a range around it. */
function names(said: string, { from = 0, to = 0 }: Mutation): boolean {
  if (from === 0) return said.length > 20;
  const ranges = [...said.matchAll(/[Ee]ntr(?:y|ies) (\d+)(?: (?:to|and) (\d+))?|first (\d+)/g)].map(
    ([, a, b, first]) => (first ? [1, Number(first)] : [Number(a), Number(b ?? a)]),
  );
  return ranges.some(([a, b]) => a <= to + 1 && b >= from);
}

it('a whole backup is restored with roots and key at hand, and nothing of it stays unchecked', async () => {
  const db = join(folder, 'restored.db');
  const outcome = await run('logbook', 'restore', books.whole, '--db', db, ...outside);
  expect(outcome).toMatchObject({ code: 0, stderr: '' });
  const backup = await run('logbook', 'backup', join(folder, 'again.db'), '--db', db, ...outside);
  expect(backup).toMatchObject({ code: 0, stderr: '' });
  expect((await run('logbook', 'restore', books.whole, '--db', join(folder, 'x.db'))).code).toBe(2);
});

describe('a backup', () => {
  it.each(MUTATIONS)('%s: refused by restore and verify, and the place is named', async (kind) => {
    const draw = drawer(1000 + MUTATIONS.indexOf(kind));
    for (let i = 0; i < each; ) {
      const file = join(folder, `changed-${MUTATIONS.indexOf(kind)}.db`);
      copyBook(books.whole, file);
      const mutation = mutate(kind, file, books, draw);
      // Bytes that say nothing, such as those of pages that are not used, may be anything.
      if (!mutation.tells) continue;
      i++;
      const what = JSON.stringify({ ...mutation, i });
      const db = join(folder, 'target.db');
      const restored = await run('logbook', 'restore', file, '--db', db, ...outside);
      expect(restored.code, what).toBe(1);
      expect(names(restored.stderr, mutation), `${what}\n${restored.stderr}`).toBe(true);
      expect(existsSync(db), `${what}\n${restored.stdout}${restored.stderr}`).toBe(false);
      // On every merge `verify` has the same changes to judge in a process of the test's own.
      if (depth === 'deep' || process.env.MUTATIONS)
        expect((await run('logbook', 'verify', '--db', file, ...outside)).code, what).toBe(1);
      for (const end of ['', '-wal', '-shm']) rmSync(file + end, { force: true });
    }
  });
});
