// The host's small memory, stored in the same file as the log book.
import { type Db, inTransaction } from '../../../sqlite';
import { sealed, unsealed } from '../../sealed';
import { bytes, textIn } from './columns';
import { IN_USE } from './schema';

/** Reads all names and texts, as they are stored. */
function reader(db: Db): () => { name: string; text: string }[] {
  const all = db.prepare(`SELECT ${bytes('name')}, ${bytes('text')} FROM memory`);
  return () =>
    (all.all() as { name: unknown; text: unknown }[]).map(({ name, text }) => ({
      ...{ name: textIn(name), text: textIn(text) },
    }));
}

/** Seals texts of a file in which they were not. */
export function sealMemory(db: Db): void {
  const update = db.prepare('UPDATE memory SET text = ? WHERE name = ?');
  for (const { name, text } of reader(db)()) update.run(sealed(name, text), name);
}

const [OPENING, OPEN, CLOSED] = ['opening', 'open', 'closed'];

/** Whether a stored text is the mark of a file that a host has open. */
export function isOpenMark(stored: string): boolean {
  return unsealed(IN_USE, stored) !== CLOSED;
}

/** See `Logbook.mark`. */
export function newMark(db: Db): (isOpen: boolean) => void {
  const { remember } = newMemoryStore(db);
  return (isOpen) => {
    remember(IN_USE, isOpen ? OPENING : CLOSED);
    // The mark has to be in the file itself, and while it is there, something has to be in the one beside it: another
    // text, because SQLite does not write what does not change.
    db.pragma('wal_checkpoint(TRUNCATE)');
    if (isOpen) remember(IN_USE, OPEN);
  };
}

export function newMemoryStore(db: Db) {
  const rows = reader(db);
  const put = db.prepare(
    'INSERT INTO memory VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET text = excluded.text',
  );
  const remember = (name: string, text: string): void => void put.run(name, sealed(name, text));
  return {
    all(): Map<string, string> {
      const texts = rows().map(({ name, text }) => [name, unsealed(name, text)] as const);
      return new Map(texts.filter((row): row is [string, string] => row[1] !== undefined));
    },
    remember,
    rememberAll(texts: ReadonlyMap<string, string>): void {
      inTransaction(db, () => {
        for (const [name, text] of texts) remember(name, text);
      });
    },
  };
}
