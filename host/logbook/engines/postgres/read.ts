// Reading the log book: short questions, each on whatever connection is free.
import type { KeyRing } from '../../../keys';
import type { Entry, EntryFilter, Evidence, Logbook, Verification } from '../../logbook';
import { bookVerifier } from '../../walk';
import { ENTRIES, toEntry } from './columns';
import type { Row, Session } from './session';

/** Entries per read when walking the whole log book. */
const SLICE = 2000;

type Filter = Pick<EntryFilter, 'address' | 'kind' | 'before'>;

function whereOf({ before, address, kind }: Filter): { sql: string; values: unknown[] } {
  const parts: string[] = [];
  const values: unknown[] = [];
  const add = (value: unknown, part: (mark: string) => string): void => {
    values.push(value);
    parts.push(part(`$${values.length}`));
  };
  if (before !== undefined) add(before, (mark) => `e.entry < ${mark}`);
  if (address !== undefined)
    add(
      [address].flat(),
      (mark) => `e.controller IN (SELECT id FROM controllers WHERE address = ANY(${mark}))`,
    );
  if (kind !== undefined) add(kind, (mark) => `e.kind = ${mark}`);
  return { sql: parts.length ? ` WHERE ${parts.join(' AND ')}` : '', values };
}

const LAST = `SELECT seq FROM entries WHERE controller = (SELECT id FROM controllers WHERE address = $1)
  AND journal = $2 ORDER BY seq DESC LIMIT 1`;
const EVIDENCE = `SELECT v.at, coalesce(c.address, '') AS address, v.journal, v.seq, v.why, v.body FROM evidence v
  LEFT JOIN controllers c ON c.id = v.controller ORDER BY v.id DESC LIMIT $1`;

type Reader = Pick<
  Logbook,
  'lastOf' | 'entries' | 'page' | 'total' | 'after' | 'results' | 'evidence' | 'evidenceCount' | 'verify'
>;

class DatabaseReader implements Reader {
  constructor(private readonly session: Session) {}

  async lastOf(address: string, journal: string): Promise<number> {
    const [row] = await this.session.rows<{ seq: number }>(LAST, address, journal);
    return row?.seq ?? 0;
  }

  async entries(): Promise<number> {
    // Numbered without gaps, so the newest number is the count.
    const [{ n }] = await this.session.rows<{ n: number }>(
      'SELECT coalesce(max(entry), 0) AS n FROM entries',
    );
    return n;
  }

  async page(filter: EntryFilter): Promise<Entry[]> {
    const { sql, values } = whereOf(filter);
    const limit = Math.max(1, Math.min(500, filter.limit));
    const read = `${ENTRIES}${sql} ORDER BY e.entry DESC LIMIT ${limit}`;
    return (await this.session.rows(read, ...values)).map(toEntry);
  }

  async total(filter: Pick<EntryFilter, 'address' | 'kind'> = {}): Promise<number> {
    const { sql, values } = whereOf(filter);
    if (values.length === 0) return this.entries();
    const count = `SELECT count(*) AS n FROM entries e${sql}`;
    const [{ n }] = await this.session.rows<{ n: number }>(count, ...values);
    return n;
  }

  async after(after: number, limit: number, kind?: string): Promise<Entry[]> {
    const where = kind === undefined ? '' : ' AND e.kind = $3';
    const read = `${ENTRIES} WHERE e.entry > $1${where} ORDER BY e.entry LIMIT $2`;
    const values = kind === undefined ? [after, limit] : [after, limit, kind];
    return (await this.session.rows<Row>(read, ...values)).map(toEntry);
  }

  results(address: string, limit: number): Promise<Entry[]> {
    return this.page({ address, kind: 'result', limit });
  }

  evidence(limit: number): Promise<Evidence[]> {
    return this.session.rows<Evidence>(EVIDENCE, limit);
  }

  async evidenceCount(): Promise<number> {
    const [{ n }] = await this.session.rows<{ n: number }>('SELECT count(*) AS n FROM evidence');
    return n;
  }

  async verify(keys?: KeyRing): Promise<Verification> {
    const verifier = bookVerifier(keys);
    for (let slice = await this.after(0, SLICE); slice.length > 0; ) {
      for (const entry of slice) verifier.take(entry);
      slice = await this.after(slice[slice.length - 1].entry, SLICE);
    }
    return verifier.report();
  }
}

export function newReader(session: Session): Reader {
  return new DatabaseReader(session);
}
