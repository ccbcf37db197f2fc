// Someone who holds the host and all its secrets, and wants failures to have been passes: signs and chains
// everything anew, so that the log book contradicts itself nowhere.
import type Database from 'libsql';
import { sign } from '../../../../firmware/contract/signature';
import { entryHash, linkOf, NO_HASH, NO_PREV } from '../../../../host/logbook/chain';
import { KEYS } from '../records';
import { addressesOf, rowsOf } from './book';

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
    const body = sign(KEYS.keyOf(address), 'record', address, `${bare},"prev":"${prev}"`);
    if (body !== row.body) first ||= row.entry;
    last = entryHash(last, address, body);
    links.set(journal, linkOf(body));
    update.run(body, last, row.entry);
  }
  return first;
}

/** Takes the last `count` entries away. */
export function cut(db: Database.Database, count: number): void {
  db.exec(`DELETE FROM entries WHERE entry > (SELECT max(entry) FROM entries) - ${count}`);
}
