// The one place where a log book is opened: its URL says which engine keeps it.
import { fileURLToPath } from 'node:url';
import { type Logbook, LogbookError } from '../logbook';
import { openSqlite, type SqliteOptions } from './sqlite/open';

const SCHEME = /^([a-z][a-z0-9+.-]+):/i;

/** The SQLite file that a URL names. @throws LogbookError with one sentence for a scheme that no engine has. */
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
 * Opens a log book, or makes it.
 * @param url path of a SQLite file, the same as `sqlite:` or `file:` URL, or `:memory:` for one in memory only
 * @throws LogbookError with one sentence when the URL names no engine, or what is there is damaged, foreign, newer or
 * cannot be opened.
 */
export async function openLogbook(url: string, options: SqliteOptions = {}): Promise<Logbook> {
  return openSqlite(fileOf(url), options);
}
