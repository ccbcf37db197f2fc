// What a witness remembers: every checkpoint it has signed, and the newest requests it refused although the log
// had signed them, for they show what the log tried. Each commit is on the disk before anyone hears of it.
import Database from 'libsql';
import { utf8 } from '../proof/bytes';
import { type Db, inTransaction } from '../sqlite';

/** The checkpoint of a log that was signed last. */
export interface Seen {
  size: number;
  /** 32 bytes. */
  root: Uint8Array;
  /** The note with the log's signature and the witness's own. */
  note: string;
}

export interface Refused {
  /** UTC second. */
  at: number;
  origin: string;
  why: string;
}

export interface WitnessStore {
  /** Undefined if nothing of this log was ever signed. */
  latest(origin: string): Seen | undefined;
  /** Checkpoints signed for this log. */
  count(origin: string): number;
  /** Newest first. */
  refused(limit: number): Refused[];
  /** Runs `work` so that no other request, of any process, comes between what it reads and what it keeps. */
  alone<T>(work: () => T): T;
  keep(origin: string, at: number, seen: Seen): void;
  refuse(refused: Refused, request: string): void;
  close(): void;
}

/** "NPWI": marks the file as ours. */
const APPLICATION_ID = 0x4e505749;
const REFUSED_MAX = 1000;

// Texts as BLOB: a flipped bit in a TEXT column ends the process inside the driver.
const SCHEMA = `
CREATE TABLE seen (
  id INTEGER PRIMARY KEY, origin BLOB NOT NULL, size INTEGER NOT NULL, root BLOB NOT NULL,
  at INTEGER NOT NULL, note BLOB NOT NULL
) STRICT;
CREATE INDEX seen_by_origin ON seen (origin, id);
CREATE TABLE refused (
  id INTEGER PRIMARY KEY, at INTEGER NOT NULL, origin BLOB NOT NULL, why BLOB NOT NULL, request BLOB NOT NULL
) STRICT;
CREATE TRIGGER seen_stay BEFORE DELETE ON seen BEGIN SELECT RAISE(ABORT, 'a witness forgets nothing'); END;
CREATE TRIGGER seen_fixed BEFORE UPDATE ON seen BEGIN SELECT RAISE(ABORT, 'a witness changes nothing'); END;
PRAGMA application_id = ${APPLICATION_ID};
`;

type Row = Record<string, unknown>;

const blob = (text: string): Buffer => Buffer.from(utf8(text));
const textOf = (value: unknown): string => Buffer.from(value as Uint8Array).toString('utf8');

function prepare(db: Db): void {
  db.pragma('journal_mode = DELETE');
  db.pragma('synchronous = EXTRA');
  const [{ application_id: mark }] = db.pragma('application_id') as Row[];
  const [{ n }] = db.prepare('SELECT count(*) AS n FROM sqlite_master').all() as Row[];
  if (n === 0) db.exec(`BEGIN IMMEDIATE; ${SCHEMA} COMMIT;`);
  else if (mark !== APPLICATION_ID) throw new Error('it is the database of another program');
  const [{ quick_check: verdict }] = db.pragma('quick_check(1)') as Row[];
  if (verdict !== 'ok') throw new Error('it is damaged; keep it, and begin anew in another folder');
}

/** @throws Error with one sentence if the file is damaged, foreign or cannot be opened. */
export function openWitnessStore(file: string): WitnessStore {
  let db: Db | undefined;
  try {
    db = new Database(file, { timeout: 5000 });
    prepare(db);
    return storeOf(db);
  } catch (error) {
    db?.close();
    throw new Error(`The witness's memory ${file} cannot be used: ${(error as Error).message}.`);
  }
}

// A lone Buffer would be taken for named values, hence the lists.
function storeOf(db: Db): WitnessStore {
  const latest = db.prepare('SELECT size, root, note FROM seen WHERE origin = ? ORDER BY id DESC LIMIT 1');
  const count = db.prepare('SELECT count(*) AS n FROM seen WHERE origin = ?');
  const keep = db.prepare('INSERT INTO seen (origin, size, root, at, note) VALUES (?, ?, ?, ?, ?)');
  const refuse = db.prepare('INSERT INTO refused (at, origin, why, request) VALUES (?, ?, ?, ?)');
  const thin = db.prepare(
    `DELETE FROM refused WHERE id <= (SELECT max(id) FROM refused) - ${REFUSED_MAX} AND id > (SELECT min(id) FROM refused)`,
  );
  const refused = db.prepare('SELECT at, origin, why FROM refused ORDER BY id DESC LIMIT ?');
  return {
    latest(origin) {
      const row = latest.get([blob(origin)]) as Row | undefined;
      if (!row) return undefined;
      return {
        size: row.size as number,
        root: new Uint8Array(row.root as Uint8Array),
        note: textOf(row.note),
      };
    },
    count: (origin) => (count.get([blob(origin)]) as Row).n as number,
    refused: (limit) =>
      (refused.all(limit) as Row[]).map(({ at, origin, why }) => ({
        at: at as number,
        origin: textOf(origin),
        why: textOf(why),
      })),
    alone: (work) => inTransaction(db, work),
    keep(origin, at, { size, root, note }) {
      keep.run(blob(origin), size, Buffer.from(root), at, blob(note));
    },
    refuse({ at, origin, why }, request) {
      refuse.run(at, blob(origin), blob(why), blob(request));
      thin.run();
    },
    close() {
      db.close();
    },
  };
}
