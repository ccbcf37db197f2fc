// A log book for attacks, and what its tree must be by the definition alone.
import { createHash } from 'node:crypto';
import { copyFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { seededKeys, signMessage } from '../../../../host/keys';
import { openInspected, openLogbook } from '../../../../host/logbook/engines/open';
import type { Logbook } from '../../../../host/logbook/logbook';
import type { Noted } from '../../../../host/logbook/verify/noted';
import { type BookReport, verifyBook } from '../../../../host/logbook/verify/verify';
import { cosign, signCheckpoint } from '../../../../host/proof/ed25519';
import { hostSigner, witnessSigner } from '../../../../host/proof/hostKey';
import { noteOf, parseNote } from '../../../../host/proof/note';
import { KEYS, newJournal, resultFields } from '../records';

export interface Row {
  entry: number;
  controller: number;
  journal: string;
  seq: number;
  kind: string;
  test: number;
  at: number;
  body: string;
  hash: string;
}

/** Rows of a result in which one lamp failed. */
export const FAILED = [
  [1, 0, 90, 300, 300, 290, 2],
  [2, 4, 90, 300, 120, 100, 2],
];

export const SIGNER = hostSigner(KEYS, 'demo');
/** A witness whose secret the host does not have. */
export const WITNESS = witnessSigner(seededKeys(99), 'example.org/gatehouse');

/** Signs a checkpoint over all entries, and has it witnessed. @returns what the witness keeps */
async function signHead(logbook: Logbook, at: number): Promise<string> {
  const size = await logbook.tree.size();
  const text = signCheckpoint(SIGNER, { size, root: await logbook.tree.root() });
  await logbook.checkpoints.add({ size, at, text });
  const note = parseNote(text);
  const line = cosign(WITNESS, note.text, at);
  await logbook.checkpoints.cosign(size, line);
  return noteOf(note.text, line);
}

/**
 * Writes a log book of three controllers, a person's notes, orders and texts kept apart; every fourth record is a
 * failed test, and after every hundredth a checkpoint is signed and witnessed. The same each time.
 * @returns the witnessed checkpoints
 */
export async function writeBook(file: string, records: number): Promise<string[]> {
  const logbook = await openLogbook(file);
  const witnessed: string[] = [];
  const journals = ['demo/a', 'demo/b', 'demo/c'].map((address) => newJournal(address));
  for (let i = 0; i < records; i++) {
    const journal = journals[i % 3];
    const fields = resultFields(FAILED, { test: 1 + i });
    await logbook.appendBatch([
      i % 4 === 0 ? journal.record('result', fields) : journal.record('held', { reason: 23, arg: i }),
    ]);
    if (i % 10 === 5)
      await logbook.appendNext('demo/a/host', 'host', (seq, prev) => {
        const head = { v: 1, journal: 'host', seq, boot: 0, utc: 1770000000 + i, clock: 2, kind: 'repaired' };
        const note = { ...head, who: 'Юля Großmüller', luminaires: 'A-01', what: 'lamp', retest: 1, prev };
        const body = signMessage(KEYS, 'demo/a/host', 'record', note);
        return { kind: 'repaired', test: 0, at: 1770000000 + i, body };
      });
    if (i % 50 === 49) {
      const at = 1770000000 + i;
      const counter = await logbook.orders.take({
        address: 'demo/a',
        do: 1,
        arg: 0,
        who: 'Юля Großmüller',
        at,
      });
      await logbook.orders.answer('demo/a', counter, 'done', at);
      await logbook.keep({ address: 'demo/b', at, why: 'It has two readings.', body: `{"odd":${i}}` });
      await logbook.memory.remember('plan', `revision ${i}`);
    }
    if (i % 100 === 99) witnessed.push(await signHead(logbook, 1770000000 + i));
  }
  await logbook.close();
  return witnessed;
}

export interface Books {
  /** The log book, and how many entries it has. */
  whole: string;
  entries: number;
  /** The same log book as it was earlier. */
  older: readonly string[];
}

/**
 * Writes a log book and what it was earlier, when it had so many records each.
 * @returns the witnessed checkpoints and the last root, too
 */
export async function writeBooks(
  folder: string,
  records: number,
  earlier: readonly number[],
): Promise<{ books: Books; witnessed: string[]; last: Noted }> {
  const whole = join(folder, 'whole.db');
  const witnessed = await writeBook(whole, records);
  const older = earlier.map((n) => join(folder, `older${n}.db`));
  for (const [i, n] of earlier.entries()) await writeBook(older[i], n);
  const last = rootOf(whole);
  return { books: { whole, entries: last.size!, older }, witnessed, last };
}

/** Copies a log book that nobody has open. */
export function copyBook(from: string, to: string): void {
  copyFileSync(from, to);
}

/** Does what only someone with the file and bad intentions would do. */
export function attack<T>(file: string, work: (db: Database.Database) => T): T {
  const db = new Database(file);
  try {
    db.exec('PRAGMA synchronous = OFF; PRAGMA foreign_keys = OFF');
    const triggers = db.prepare("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").all() as {
      name: string;
      sql: string;
    }[];
    db.exec('BEGIN');
    for (const { name } of triggers) db.exec(`DROP TRIGGER ${name}`);
    const result = work(db);
    for (const { sql } of triggers) db.exec(sql);
    db.exec('COMMIT');
    db.pragma('wal_checkpoint(TRUNCATE)');
    return result;
  } finally {
    db.close();
  }
}

export function rowsOf(db: Database.Database): Row[] {
  return db.prepare('SELECT * FROM entries ORDER BY entry').all() as Row[];
}

export function addressesOf(db: Database.Database): Map<number, string> {
  const rows = db.prepare('SELECT id, address FROM controllers').all() as { id: number; address: string }[];
  return new Map(rows.map(({ id, address }) => [id, address]));
}

/** RFC 6962 (2013), section 2.1, written down as it stands there. */
export function definedRoot(leaves: readonly string[]): Buffer {
  const sha = (...parts: (Buffer | string)[]) => {
    const hash = createHash('sha256');
    for (const part of parts) hash.update(part);
    return hash.digest();
  };
  if (leaves.length === 0) return sha('');
  if (leaves.length === 1) return sha('\x00', leaves[0]);
  let k = 1;
  while (2 * k < leaves.length) k *= 2;
  return sha('\x01', definedRoot(leaves.slice(0, k)), definedRoot(leaves.slice(k)));
}

/** Root over the first `size` entries of a file, by the definition. */
export function rootOf(file: string, size?: number): Noted {
  const db = new Database(file, { readonly: true });
  const addresses = addressesOf(db);
  const rows = rowsOf(db).slice(0, size);
  db.close();
  const leaves = rows.map(({ controller, at, body }) => `${addresses.get(controller)}\n${at}\n${body}`);
  return { size: rows.length, root: definedRoot(leaves) };
}

export async function verified(
  file: string,
  { secret = true, noted = [] }: { secret?: boolean; noted?: Noted[] } = {},
): Promise<BookReport> {
  const book = await openInspected(file);
  try {
    return await verifyBook(book, { noted, witnesses: [WITNESS.key], ...(secret && { keys: KEYS }) });
  } finally {
    book.close();
  }
}
