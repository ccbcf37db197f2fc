// The one place that opens a log book: its URL names the engine that keeps it.
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Inspected } from '../inspect';
import { type Logbook, LogbookError } from '../logbook';
import { copySqlite } from './sqlite/copy';
import { inspectSqlite } from './sqlite/inspect';
import { type HostLock, lockSqlite } from './sqlite/lock';
import { openSqlite, type SqliteOptions } from './sqlite/open';

const SCHEME = /^([a-z][a-z0-9+.-]+):/i;

/** The SQLite file a URL names. @throws LogbookError with one sentence for a scheme without an engine. */
function fileOf(url: string): string {
  const scheme = SCHEME.exec(url)?.[1].toLowerCase();
  if (scheme === undefined) return url;
  if (scheme === 'sqlite') return url.slice('sqlite:'.length).replace(/^\/\//, '');
  if (scheme === 'file') return url.startsWith('file://') ? fileURLToPath(url) : url.slice('file:'.length);
  throw new LogbookError(
    `No log book can be kept at ${url}: "${scheme}:" is not known here; name a file, or sqlite: and a file.`,
  );
}

/**
 * Opens a log book, or creates it.
 * @param url path of a SQLite file, or the same as a `sqlite:` or `file:` URL, or `:memory:` for one in
 * memory only
 * @throws LogbookError with one sentence if the URL names no engine, or the log book is damaged, foreign,
 * newer or cannot be opened.
 */
export async function openLogbook(url: string, options: SqliteOptions = {}): Promise<Logbook> {
  return openSqlite(fileOf(url), options);
}

/** Whether a log book was ever kept there. @throws LogbookError with one sentence for a scheme without an engine */
export function isLogbookThere(url: string): boolean {
  return existsSync(fileOf(url));
}

/** Whether a URL names a log book that no other process can open. */
export function isInMemory(url: string): boolean {
  return fileOf(url) === ':memory:';
}

/**
 * Opens a log book to inspect it as it stands, without writing to it.
 * @throws LogbookError with one sentence if it is none of ours or cannot be opened at all.
 */
export function openInspected(url: string): Inspected {
  return inspectSqlite(fileOf(url));
}

/**
 * Takes a log book for a running host, of which there may be one only. Commands that read it or add notes to it need
 * no lock.
 * @throws LogbookError with one sentence that names the page of the host that has it
 */
export function lockLogbook(url: string): HostLock {
  return lockSqlite(fileOf(url));
}

/**
 * Copies a log book, as it is at this moment, into a new file; a host may be writing to it.
 * @throws LogbookError with one sentence if that fails; what was written is then worthless.
 */
export function copyLogbook(url: string, target: string): void {
  copySqlite(fileOf(url), target);
}
