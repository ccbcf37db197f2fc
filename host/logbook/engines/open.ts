// The one place that opens a log book: its URL names the engine that keeps it.
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { isPostgres } from '../../beside';
import type { Inspected } from '../inspect';
import type { HostLock } from '../lock';
import { type Logbook, LogbookError } from '../logbook';
import { placeOf } from './postgres/address';
import { copySqlite } from './sqlite/copy';
import { inspectSqlite } from './sqlite/inspect';
import { lockSqlite } from './sqlite/lock';
import { openSqlite, type SqliteOptions } from './sqlite/open';

const SCHEME = /^([a-z][a-z0-9+.-]+):/i;

/** The SQLite file a URL names. @throws LogbookError with one sentence for a scheme without an engine. */
function fileOf(url: string): string {
  const scheme = SCHEME.exec(url)?.[1].toLowerCase();
  if (scheme === undefined) return url;
  if (scheme === 'sqlite') return url.slice('sqlite:'.length).replace(/^\/\//, '');
  if (scheme === 'file') return url.startsWith('file://') ? fileURLToPath(url) : url.slice('file:'.length);
  throw new LogbookError(
    `No log book can be kept at ${url}: "${scheme}:" is not known here; name a file, or sqlite: and a file, or a ` +
      'database by postgres://.',
  );
}

// The driver takes a moment to load, and most commands never need it.
const postgres = {
  open: () => import('./postgres/open'),
  inspect: () => import('./postgres/inspect'),
  lock: () => import('./postgres/lock'),
  copy: () => import('./postgres/copy'),
  fill: () => import('./postgres/fill'),
};

/**
 * Opens a log book, or creates it.
 * @param url path of a SQLite file, or the same as a `sqlite:` or `file:` URL, or `:memory:` for one in
 * memory only; `postgres://USER@HOST/DATABASE` for one in a PostgreSQL database, in the schema `nightproof` or the one
 * that `?schema=` names
 * @throws LogbookError with one sentence if the URL names no engine, or the log book is damaged, foreign,
 * newer or cannot be opened.
 */
export async function openLogbook(url: string, options: SqliteOptions = {}): Promise<Logbook> {
  if (isPostgres(url)) return (await postgres.open()).openPostgres(placeOf(url));
  return openSqlite(fileOf(url), options);
}

/**
 * Whether a log book was ever kept there.
 * @throws LogbookError with one sentence for a scheme without an engine, or a database that does not answer
 */
export async function isLogbookThere(url: string): Promise<boolean> {
  if (isPostgres(url)) return (await postgres.inspect()).isPostgresThere(placeOf(url));
  return existsSync(fileOf(url));
}

/** Whether a URL names a log book that no other process can open. */
export function isInMemory(url: string): boolean {
  return !isPostgres(url) && fileOf(url) === ':memory:';
}

/**
 * Opens a log book to inspect it as it stands, without writing to it; one in a database is copied for that.
 * @throws LogbookError with one sentence if it is none of ours or cannot be opened at all.
 */
export async function openInspected(url: string): Promise<Inspected> {
  if (isPostgres(url)) return (await postgres.inspect()).inspectPostgres(placeOf(url));
  return inspectSqlite(fileOf(url));
}

/**
 * Takes a log book for a running host, of which there may be one only. Commands that read it or add notes to it need
 * no lock.
 * @param onTaken is told in one sentence if another host has taken it in the meantime, which can happen to a log book
 * in a database whose connection was lost; from then on nothing of this host is stored
 * @throws LogbookError with one sentence that names the page of the host that has it
 */
export async function lockLogbook(url: string, onTaken?: (sentence: string) => void): Promise<HostLock> {
  if (isPostgres(url)) return (await postgres.lock()).lockPostgres(placeOf(url), onTaken);
  return lockSqlite(fileOf(url));
}

/**
 * Copies a log book, as it is at this moment, into a new SQLite file; a host may be writing to it.
 * @returns one sentence for each fault that the copy cannot have: a database whose parts are missing or were changed,
 * and rows that contradict others
 * @throws LogbookError with one sentence if that fails; what was written is then worthless.
 */
export async function copyLogbook(url: string, target: string): Promise<string[]> {
  if (isPostgres(url)) return (await postgres.copy()).copyPostgres(placeOf(url), target);
  copySqlite(fileOf(url), target);
  return [];
}

/**
 * Puts the log book in a SQLite file into a database where there is none.
 * @param finalHash hash of its last entry when it was verified
 * @throws LogbookError with one sentence if there is one, or it cannot be done; then nothing is there
 */
export async function fillLogbook(file: string, url: string, finalHash?: string): Promise<void> {
  await (await postgres.fill()).fillPostgres(fileOf(file), placeOf(url), finalHash);
}
