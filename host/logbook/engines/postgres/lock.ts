// One host a log book: a session of its own holds an advisory lock as long as the host runs, and the server takes it
// away with the session. The name of that session is the page of the host, for whoever finds the log book taken.
import pg from 'pg';
import { type HostLock, taken } from '../../lock';
import { LogbookError } from '../../logbook';
import type { Place } from './address';
import { plainly } from './errors';
import { LOCKS, takeWriting } from './schema';
import { type Client, configOf, type Row, WATCHED } from './session';

/** Between two attempts to have the lock again after its session was lost, ms. */
const AGAIN_MS = 1000;
/** Longest name of a session, bytes: PostgreSQL cuts the rest off. */
const NAME_MAX = 63;
const STARTING = 'nightproof host';

const isLock = (schema: string): string =>
  `locktype = 'advisory' AND classid = ${LOCKS} AND objid::bigint = (hashtext('${schema}')::bigint & 4294967295) ` +
  'AND database = (SELECT oid FROM pg_database WHERE datname = current_database()) AND granted';

class Held implements HostLock {
  private client: pg.Client | undefined;
  private pid = 0;
  private page = STARTING;
  private taking: Promise<void> | undefined;
  private again: NodeJS.Timeout | undefined;
  private isReleased = false;
  private isTaken = false;

  constructor(
    private readonly place: Place,
    private readonly onTaken: (sentence: string) => void,
  ) {}

  /** @throws LogbookError with one sentence if another host has it, or the server does not answer */
  take(): Promise<void> {
    // One at a time: two sessions of this host would keep the lock from each other.
    this.taking ??= this.connect().finally(() => {
      this.taking = undefined;
    });
    return this.taking;
  }

  /** An SQL condition that holds as long as this host has the lock. */
  async fence(): Promise<string> {
    if (!this.client && !this.isReleased) await this.take();
    return `EXISTS (SELECT 1 FROM pg_locks WHERE pid = ${this.pid} AND ${isLock(this.place.schema)})`;
  }

  tell(page: string): void {
    this.page = page;
    // Whoever is refused is otherwise not told the address; the lock holds all the same.
    this.client
      ?.query("SELECT set_config('application_name', $1, false)", [page.slice(0, NAME_MAX)])
      .catch(() => {});
  }

  async release(): Promise<void> {
    this.isReleased = true;
    clearTimeout(this.again);
    held.delete(keyOf(this.place));
    await this.taking?.catch(() => {});
    await this.client?.end().catch(() => {});
  }

  private async connect(): Promise<void> {
    const client = new pg.Client({ ...configOf(this.place), application_name: this.page.slice(0, NAME_MAX) });
    client.on('error', () => {});
    try {
      await client.connect();
      await client.query(WATCHED);
      const sql = `SELECT pg_try_advisory_lock(${LOCKS}, hashtext($1)) AS got, pg_backend_pid() AS pid`;
      const { got, pid } = (await client.query(sql, [this.place.schema])).rows[0];
      if (!got) throw await this.refusal(client);
      client.on('end', () => this.lost());
      this.client = client;
      this.pid = pid;
    } catch (error) {
      await client.end().catch(() => {});
      throw plainly(this.place.shown, error);
    }
  }

  private async refusal(client: pg.Client): Promise<LogbookError> {
    const sql = `SELECT pid, application_name AS page FROM pg_locks JOIN pg_stat_activity USING (pid) WHERE ${isLock(this.place.schema)}`;
    const other = (await client.query(sql)).rows[0];
    const page: string = other?.page ?? '';
    const error = taken(this.place.shown, page.startsWith('http') ? page : '');
    // The server may not have noticed yet that this host's own session is gone.
    const isTaken = this.pid !== 0 && other !== undefined && other.pid !== this.pid;
    if (isTaken && !this.isTaken) this.onTaken(error.message);
    this.isTaken ||= isTaken;
    return error;
  }

  private lost(): void {
    this.client = undefined;
    this.takeLater();
  }

  private takeLater(): void {
    if (this.isReleased) return;
    clearTimeout(this.again);
    this.again = setTimeout(() => {
      if (!this.client && !this.isReleased) this.take().catch(() => this.takeLater());
    }, AGAIN_MS);
    this.again.unref();
  }
}

/** What this process holds, by place. */
const held = new Map<string, Held>();

const keyOf = ({ shown, schema }: Place): string => `${shown} ${schema}`;

/** An SQL condition that is false if this process held the log book as a host and does no longer. */
export async function fenceOf(place: Place): Promise<string> {
  return (await held.get(keyOf(place))?.fence()) ?? 'true';
}

/**
 * Begins a transaction in which nobody else writes.
 * @param asks more SQL that is asked in the same message
 * @returns what `asks` answers
 * @throws LogbookError with one sentence if this process held the log book as a host and does no longer
 */
export async function beginFenced(client: Client, place: Place, asks: readonly string[]): Promise<Row[][]> {
  const fence = await fenceOf(place);
  const sql = [
    'BEGIN ISOLATION LEVEL READ COMMITTED',
    takeWriting(place),
    `SELECT ${fence} AS held`,
    ...asks,
  ];
  const results = (await client.query(sql.join('; '))) as unknown as { rows: Row[] }[];
  const [[state], ...answers] = results.slice(2).map(({ rows }) => rows);
  if (!state.held)
    throw new LogbookError(
      `This host has lost its hold of the log book ${place.shown}: another may have it. Nothing is stored; stop it ` +
        'and look which host has the log book.',
    );
  return answers;
}

/**
 * Takes a log book for this host.
 * @param onTaken is told in one sentence if another host has it after this one's session was lost
 * @throws LogbookError with one sentence that names the other host's page if there is one
 */
export async function lockPostgres(
  place: Place,
  onTaken: (sentence: string) => void = () => {},
): Promise<HostLock> {
  const lock = new Held(place, onTaken);
  await lock.take();
  held.set(keyOf(place), lock);
  return lock;
}
