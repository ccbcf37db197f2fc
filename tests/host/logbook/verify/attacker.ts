// Someone who holds the host and all its secrets, and wants failures to have been passes: signs and chains
// everything anew, so that the log book contradicts itself nowhere.
import { createHash } from 'node:crypto';
import type Database from 'libsql';
import { sign } from '../../../../firmware/contract/signature';
import { entryHash, linkOf, NO_HASH, NO_PREV } from '../../../../host/logbook/chain';
import { isOwnJournal } from '../../../../host/logbook/own';
import { signCheckpoint } from '../../../../host/proof/ed25519';
import { KEYS } from '../records';
import { addressesOf, definedRoot, rowsOf, SIGNER } from './book';

/** Signed over the bytes of the text in UTF-8. */
function signed(address: string, open: string): string {
  const bytes = Buffer.from(open, 'utf8').toString('latin1');
  return Buffer.from(sign(KEYS.keyOf(address), 'record', address, bytes), 'latin1').toString('utf8');
}

/** Turns the failed lamps of every result from entry `from` on into passed ones. @returns the first changed entry */
export function rewrite(db: Database.Database, from: number): number {
  const addresses = addressesOf(db);
  const links = new Map<string, string>();
  const update = db.prepare('UPDATE entries SET body = ?, hash = ? WHERE entry = ?');
  let last = NO_HASH;
  let first = 0;
  for (const row of rowsOf(db)) {
    const address = addresses.get(row.controller)!;
    const journal = `${address} ${row.journal}`;
    const prev = links.get(journal) ?? NO_PREV;
    let bare = row.body.replace(/,"prev":"[0-9a-f]{32}","mac":"[0-9a-f]{32}"}$/, '');
    if (row.entry >= from && row.kind === 'result') bare = bare.replaceAll('[2,4,', '[1,0,');
    // What the log book writes itself is not signed.
    const body = isOwnJournal(row.journal)
      ? row.body.replace(/"prev":"[0-9a-f]{32}"/, `"prev":"${prev}"`)
      : signed(address, `${bare},"prev":"${prev}"`);
    if (body !== row.body) first ||= row.entry;
    last = entryHash(last, address, body);
    links.set(journal, linkOf(body));
    update.run(body, last, row.entry);
  }
  return first;
}

const sha = (...parts: (Buffer | string)[]): Buffer => {
  const hash = createHash('sha256');
  for (const part of parts) hash.update(part);
  return hash.digest();
};

/** The stored tree made anew over whatever the entries now are. */
export function replant(db: Database.Database): void {
  const addresses = addressesOf(db);
  let hashes = rowsOf(db).map(({ controller, at, body }) =>
    sha('\x00', `${addresses.get(controller)}\n${at}\n${body}`),
  );
  db.exec('DELETE FROM tiles');
  const insert = db.prepare('INSERT INTO tiles VALUES (?, ?, ?, ?)');
  for (let level = 0; hashes.length >= 256; level++) {
    const roots: Buffer[] = [];
    for (let n = 0; (n + 1) * 256 <= hashes.length; n++) {
      const tile = hashes.slice(n * 256, (n + 1) * 256);
      let row = tile;
      while (row.length > 1)
        row = row.filter((_, i) => i % 2 === 0).map((left, i) => sha('\x01', left, row[2 * i + 1]));
      insert.run(level, n, Buffer.concat(tile), row[0]);
      roots.push(row[0]);
    }
    hashes = roots;
  }
}

/** Every checkpoint signed anew by the host's own key; a witness's signatures no longer fit and are left out. */
export function resign(db: Database.Database): void {
  const addresses = addressesOf(db);
  const leaves = rowsOf(db).map(({ controller, at, body }) => `${addresses.get(controller)}\n${at}\n${body}`);
  db.exec(`DELETE FROM cosignatures; DELETE FROM checkpoints WHERE size > ${leaves.length}`);
  const update = db.prepare('UPDATE checkpoints SET text = ? WHERE size = ?');
  for (const { size } of db.prepare('SELECT size FROM checkpoints').all() as { size: number }[])
    update.run(signCheckpoint(SIGNER, { size, root: definedRoot(leaves.slice(0, size)) }), size);
}

/** All of it: failures into passes from entry `from` on, so that nothing in the file contradicts it. */
export function rewriteAll(db: Database.Database, from: number): number {
  const first = rewrite(db, from);
  replant(db);
  resign(db);
  return first;
}

/** Takes the last `count` entries away. */
export function cut(db: Database.Database, count: number): void {
  db.exec(`DELETE FROM entries WHERE entry > (SELECT max(entry) FROM entries) - ${count}`);
}
