// Where a PostgreSQL log book is, as its URL says, and how people may see that: never with the password.
import { isPostgres } from '../../../beside';
import { LogbookError } from '../../logbook';

export interface Place {
  /** The URL without the password. */
  shown: string;
  /** What the driver connects by. */
  connection: string;
  /** The database schema that holds the log book. */
  schema: string;
}

const SCHEMA = /^[a-z_][a-z0-9_]{0,62}$/;
const DEFAULT_SCHEMA = 'nightproof';

function parse(url: string): URL {
  try {
    return new URL(url);
  } catch {
    throw new LogbookError(
      'The URL of the PostgreSQL log book cannot be read; write it as postgres://USER@HOST:5432/DATABASE.',
    );
  }
}

/** @throws LogbookError with one sentence if the URL names no place */
export function placeOf(url: string): Place {
  const parsed = parse(url);
  const schema = parsed.searchParams.get('schema') ?? DEFAULT_SCHEMA;
  const shown = new URL(parsed);
  shown.password = '';
  shown.searchParams.delete('password');
  if (!SCHEMA.test(schema))
    throw new LogbookError(
      `The schema "${schema}" of ${shown} is no name: use small letters, digits and "_", 63 at most.`,
    );
  parsed.searchParams.delete('schema');
  return { shown: shown.href, connection: parsed.href, schema };
}

/**
 * Takes the password out of a URL that names a PostgreSQL log book, so that no message can show it. The driver, and
 * every program that is started from here, finds it where PostgreSQL's own programs look for it.
 * @returns the argument without the password
 */
export function withPasswordAside(argument: string, env: NodeJS.ProcessEnv): string {
  const [, option, url] = /^(--[a-z]+=)?(.*)$/s.exec(argument) ?? [];
  if (url === undefined || !isPostgres(url) || !URL.canParse(url)) return argument;
  const parsed = new URL(url);
  const password = parsed.searchParams.get('password') ?? decodeURIComponent(parsed.password);
  if (password === '') return argument;
  env.PGPASSWORD = password;
  parsed.password = '';
  parsed.searchParams.delete('password');
  return `${option ?? ''}${parsed.href}`;
}
