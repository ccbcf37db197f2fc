// Reading the log book. Every read is short, so that a long report never keeps the WAL from shrinking.
import type { KeyRing } from '../../../keys';
import type { Db } from '../../../sqlite';
import type { Entry, EntryFilter, Evidence, Verification } from '../../logbook';
import { bookVerifier } from '../../walk';
import { bytes, ENTRIES, textIn, toEntry, whole } from './columns';

/** Entries per read when walking the whole log book. */
const SLICE = 2000;
/** A kind with no more entries than this is rare. */
const RARE = 2000;

export interface Reader {
  lastOf(address: string, journal: string): number;
  entries(): number;
  page(filter: EntryFilter): Entry[];
  total(filter: Pick<EntryFilter, 'address' | 'kind'>): number;
  after(after: number, limit: number, kind?: string): Entry[];
  results(address: string, limit: number): Entry[];
  evidence(limit: number): Evidence[];
  evidenceCount(): number;
  verify(keys?: KeyRing): Verification;
}

function whereOf(filter: Pick<EntryFilter, 'address' | 'kind' | 'before'>): {
  sql: string;
  values: (string | number)[];
} {
  const parts: string[] = [];
  const values: (string | number)[] = [];
  if (filter.before !== undefined) {
    parts.push('e.entry < ?');
    values.push(filter.before);
  }
  if (filter.address !== undefined) {
    const addresses = [filter.address].flat();
    const marks = addresses.map(() => '?').join(', ');
    parts.push(`e.controller IN (SELECT id FROM controllers WHERE address IN (${marks}))`);
    values.push(...addresses);
  }
  if (filter.kind !== undefined) {
    parts.push('e.kind = ?');
    values.push(filter.kind);
  }
  return { sql: parts.length ? ` WHERE ${parts.join(' AND ')}` : '', values };
}

function verifyAll(after: Reader['after'], keys?: KeyRing): Verification {
  const verifier = bookVerifier(keys);
  let slice = after(0, SLICE);
  while (slice.length > 0) {
    for (const entry of slice) verifier.take(entry);
    slice = after(slice[slice.length - 1].entry, SLICE);
  }
  return verifier.report();
}

function toEvidence(row: unknown): Evidence {
  const r = row as Record<keyof Evidence, unknown>;
  return {
    at: Number(r.at),
    address: textIn(r.address),
    journal: textIn(r.journal),
    seq: Number(r.seq),
    why: textIn(r.why),
    body: textIn(r.body),
  };
}

export function newReader(db: Db): Reader {
  const last = db.prepare(
    `SELECT ${whole('seq', 'n')} FROM entries ` +
      'WHERE controller = (SELECT id FROM controllers WHERE address = ?) AND journal = ? ORDER BY seq DESC LIMIT 1',
  );
  const forward = db.prepare(`${ENTRIES} WHERE e.entry > ? ORDER BY e.entry LIMIT ?`);
  // By its index of kinds SQLite sorts all of a kind for each slice; with the plus it goes along the entries, which to find a
  // rare kind means through all of them.
  const forwardRare = db.prepare(`${ENTRIES} WHERE e.kind = ? AND e.entry > ? ORDER BY e.entry LIMIT ?`);
  const forwardFrequent = db.prepare(`${ENTRIES} WHERE +e.kind = ? AND e.entry > ? ORDER BY e.entry LIMIT ?`);
  const beyondRare = db.prepare(`SELECT 1 FROM entries WHERE kind = ? LIMIT 1 OFFSET ${RARE}`);
  const evidence = db.prepare(
    `SELECT ${whole('v.at')}, ${bytes('c.address')}, ${bytes('v.journal')}, ${whole('v.seq')}, ` +
      `${bytes('v.why')}, ${bytes('v.body')} FROM evidence v ` +
      'LEFT JOIN controllers c ON c.id = v.controller ORDER BY v.id DESC LIMIT ?',
  );
  const entries = db.prepare('SELECT max(entry) AS n FROM entries');
  const evidenceCount = db.prepare('SELECT count(*) AS n FROM evidence');
  const afterOf = (kind: string, entry: number, limit: number): unknown[] =>
    (beyondRare.get(kind) ? forwardFrequent : forwardRare).all(kind, entry, limit);
  const after: Reader['after'] = (entry, limit, kind) =>
    (kind === undefined ? forward.all(entry, limit) : afterOf(kind, entry, limit)).map(toEntry);
  const page: Reader['page'] = (filter) => {
    const { sql, values } = whereOf(filter);
    const limit = Math.max(1, Math.min(500, filter.limit));
    // The numbers first, from an index alone: SQLite would sort whole entries, of a frequent kind very many.
    const numbers = `SELECT e.entry FROM entries e${sql} ORDER BY e.entry DESC LIMIT ?`;
    return db
      .prepare(`${ENTRIES} WHERE e.entry IN (${numbers}) ORDER BY e.entry DESC`)
      .all(...values, limit)
      .map(toEntry);
  };
  return {
    lastOf: (address, journal) => (last.get(address, journal) as { n: number } | undefined)?.n ?? 0,
    // Numbered without gaps, so the newest number is the count.
    entries: () => (entries.get() as { n: number | null }).n ?? 0,
    page,
    total(filter) {
      const { sql, values } = whereOf(filter);
      return (db.prepare(`SELECT count(*) AS n FROM entries e${sql}`).get(...values) as { n: number }).n;
    },
    after,
    results: (address, limit) => page({ address, kind: 'result', limit }),
    evidence: (limit) => evidence.all(limit).map(toEvidence),
    evidenceCount: () => (evidenceCount.get() as { n: number }).n,
    verify: (keys) => verifyAll(after, keys),
  };
}
