// Connections to the database of a log book. Each is looked at once before it is used: what is called durable must be.
import pg from 'pg';
import { LogbookError } from '../../logbook';
import type { Place } from './address';
import { plainly } from './errors';

export type Client = pg.ClientBase;
export type Row = Record<string, unknown>;

/** One for what is written, the others for readers. */
const CONNECTIONS_MAX = 4;
const CONNECT_MS = 10_000;
/** Longest answer, ms: a server that says nothing for longer is taken for gone. */
const ANSWER_MS = 120_000;
/**
 * What a server does about a client that is gone without a word, as a machine without power is: it ends the session,
 * and with it a transaction that keeps others from writing, in about 25 s. A transaction of a client that is there but
 * asks nothing more ends after a minute. (PostgreSQL 15 documentation, 20.3 and 20.11)
 */
export const WATCHED =
  'SET tcp_keepalives_idle = 10; SET tcp_keepalives_interval = 5; SET tcp_keepalives_count = 3; ' +
  "SET tcp_user_timeout = '25s'; SET idle_in_transaction_session_timeout = '60s'";
/** Silence after which the client asks whether the server is there, ms. */
const SILENCE_MS = 10_000;
/** Type of whole numbers of 64 bits; none here is beyond what a number holds. */
const INT8 = 20;

const SETTINGS = `SELECT current_setting('fsync') AS fsync, current_setting('full_page_writes') AS pages,
  current_setting('synchronous_commit') AS commit, current_setting('server_encoding') AS encoding,
  pg_is_in_recovery() AS standby`;

/** How the driver connects; without a password in the URL it takes PGPASSWORD or ~/.pgpass. */
export function configOf({ connection }: Place): pg.ClientConfig {
  return {
    connectionString: connection,
    connectionTimeoutMillis: CONNECT_MS,
    query_timeout: ANSWER_MS,
    keepAlive: true,
    keepAliveInitialDelayMillis: SILENCE_MS,
    application_name: 'nightproof',
    types: {
      getTypeParser: (oid: number, format?: 'text' | 'binary') =>
        (oid === INT8 ? Number : pg.types.getTypeParser(oid, format as 'text')) as never,
    },
  };
}

/** @throws LogbookError with one sentence if what this server commits may be lost */
function expectDurable(settings: Row, shown: string): void {
  const off = [
    ['fsync', settings.fsync],
    ['full_page_writes', settings.pages],
    ['synchronous_commit', settings.commit],
    // "local" does not wait for the standbys that the server is told to wait for.
  ].find(([name, value]) => value === 'off' || (name === 'synchronous_commit' && value === 'local'));
  if (off)
    throw new LogbookError(
      `The server of the log book ${shown} has ${off[0]} = ${off[1]}, so it could lose what it has confirmed; set it to on.`,
    );
  if (settings.encoding !== 'UTF8')
    throw new LogbookError(
      `The database of the log book ${shown} is encoded in ${settings.encoding}; make one with encoding UTF8.`,
    );
  if (settings.standby === true) throw plainly(shown, { code: '25006', message: '' });
}

/** Readies a new connection. @throws LogbookError with one sentence */
async function ready(client: Client, { shown, schema }: Place): Promise<void> {
  const settings = (await client.query(SETTINGS)).rows[0] as Row;
  expectDurable(settings, shown);
  // Set here, so that a change of the server's configuration does not reach this session.
  await client.query(
    `${WATCHED}; SET synchronous_commit = ${settings.commit}; SET search_path TO "${schema}"`,
  );
}

export class Session {
  private readonly pool: pg.Pool;
  private readonly known = new WeakSet<pg.PoolClient>();

  constructor(readonly place: Place) {
    this.pool = new pg.Pool({ ...configOf(place), max: CONNECTIONS_MAX, idleTimeoutMillis: 0 });
    // An idle connection that breaks is forgotten; whoever asks next gets a new one, or is told.
    this.pool.on('error', () => {});
  }

  /** Runs `work` on a connection of its own. @throws LogbookError with one sentence */
  async use<T>(work: (client: Client) => Promise<T>): Promise<T> {
    let client: pg.PoolClient | undefined;
    let failure: unknown;
    try {
      client = await this.pool.connect();
      // A connection may break between two questions, when nobody waits for an answer.
      client.on('error', ignore);
      if (!this.known.has(client)) await ready(client, this.place);
      this.known.add(client);
      return await work(client);
    } catch (error) {
      failure = error;
      throw plainly(this.place.shown, error);
    } finally {
      client?.off('error', ignore);
      // What is in an unknown state is not used again.
      client?.release(failure !== undefined);
    }
  }

  async rows<T = Row>(sql: string, ...values: unknown[]): Promise<T[]> {
    return this.use(async (client) => (await client.query(sql, values)).rows as T[]);
  }

  close(): Promise<void> {
    return this.pool.end();
  }
}

function ignore(): void {}
