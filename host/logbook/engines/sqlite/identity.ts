// Whether the file that is open is still the file on the disk. A program that has a file open goes on writing to
// it after somebody has removed it, put another in its place or cut it short, and notices nothing; what it then
// acknowledges is lost. The database itself is never opened here a second time: closing that would drop the locks
// that SQLite holds on it (POSIX, fcntl: they belong to the process; SQLite, "How To Corrupt", 2.2).
import { existsSync, statSync } from 'node:fs';
import { dirname } from 'node:path';
import Database from 'libsql';
import { syncPath } from '../../../disk';
import type { Db } from '../../../sqlite';
import { LogbookError } from '../../logbook';

/** Time between two attempts to copy what is open, ms. */
const AGAIN_MS = 60000;

interface Known {
  dev: number;
  ino: number;
  size: number;
}

/** Why a file is not the one that is open, '' if it is. `seen` is brought up to date. */
function strangeness(file: string, seen: Known): '' | 'removed' | 'replaced by another' | 'cut short' {
  const now = statSync(file, { throwIfNoEntry: false });
  if (!now) return 'removed';
  if (now.dev !== seen.dev || now.ino !== seen.ino) return 'replaced by another';
  if (now.size < seen.size) return 'cut short';
  seen.size = now.size;
  return '';
}

function knownOf(file: string): Known | undefined {
  const now = statSync(file, { throwIfNoEntry: false });
  return now && { dev: now.dev, ino: now.ino, size: now.size };
}

function newestOf(db: Db): string {
  const read = 'SELECT entry, CAST(hash AS BLOB) AS hash FROM entries ORDER BY entry DESC LIMIT 1';
  const row = db.prepare(read).get() as { entry: number; hash: Uint8Array } | undefined;
  return row ? `${row.entry} ${Buffer.from(row.hash).toString('latin1')}` : '';
}

/** What someone reads who opens the file now; '' if it cannot be read. */
function newestIn(file: string): string {
  let other: Db | undefined;
  try {
    other = new Database(file, { readonly: true });
    return newestOf(other);
  } catch {
    return '';
  } finally {
    other?.close();
  }
}

function freeName(file: string): string {
  let name = `${file}.rescued`;
  for (let n = 2; existsSync(name); n++) name = `${file}.rescued-${n}`;
  return name;
}

export class OpenFile {
  private readonly wal: string;
  private readonly seen: Known | undefined;
  private seenWal: Known | undefined;
  private lost = '';
  private rescued = '';
  private triedAt = Number.NEGATIVE_INFINITY;

  constructor(
    private readonly db: Db,
    private readonly file: string,
  ) {
    this.wal = `${file}-wal`;
    this.seen = file === ':memory:' ? undefined : knownOf(file);
    this.seenWal = knownOf(this.wal);
  }

  /**
   * Call before anything is written, and again before it is acknowledged.
   * @throws LogbookError with one sentence if what is open is not the file on the disk; it was then copied to
   * another file, if that was possible.
   */
  check(): void {
    if (!this.seen) return;
    if (!this.lost) this.lost = this.look(this.seen);
    if (!this.lost) return;
    throw new LogbookError(
      `The log book ${this.file} was ${this.lost} while the host was using it. Nothing more is stored or ` +
        `acknowledged; the controllers keep their records. ${this.rescue()}`,
    );
  }

  private look(seen: Known): string {
    const why = strangeness(this.file, seen);
    if (why) return why;
    // SQLite makes it with the first read or write, and while the file is open nobody removes it in good order.
    this.seenWal ??= knownOf(this.wal);
    const whyWal = this.seenWal ? strangeness(this.wal, this.seenWal) : '';
    if (whyWal !== 'cut short') return whyWal && `robbed of its newest entries: ${this.wal} was ${whyWal}`;
    // So does another command that ends, when all that was in it has gone into the database.
    if (newestIn(this.file) !== newestOf(this.db)) return whyWal;
    this.seenWal = knownOf(this.wal);
    return '';
  }

  /** Copies all that is still open, once. @returns what to do now, one or two sentences */
  private rescue(): string {
    if (!this.rescued && performance.now() - this.triedAt >= AGAIN_MS) {
      this.triedAt = performance.now();
      try {
        this.rescued = this.copyOut();
      } catch (error) {
        return (
          `A copy of what is still open could not be made (${(error as Error).message}); if the disk is full, make ` +
          'room and do not stop the host: it tries again every minute. Otherwise restore your backup.'
        );
      }
    }
    if (!this.rescued)
      return 'A copy of what is still open is tried again every minute; do not stop the host before.';
    return `All its entries were copied to ${this.rescued}: stop the host, give that file the log book's name, and start it again.`;
  }

  private copyOut(): string {
    const name = freeName(this.file);
    this.db.prepare('VACUUM INTO ?').run(name);
    if (newestIn(name) !== newestOf(this.db)) throw new Error(`${name} does not hold all entries`);
    syncPath(name);
    syncPath(dirname(name));
    return name;
  }
}
