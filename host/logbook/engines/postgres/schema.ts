// What is in the database: the tables of the SQLite log book, in a schema of their own.
import { LogbookError } from '../../logbook';
import type { Place } from './address';
import type { Client, Session } from './session';

/** Upper half of the advisory locks of a log book: "NPLB"; the lower half is the schema's name. */
export const LOCKS = 0x4e504c42;
/** The same for whoever writes, held until the end of a transaction. */
const WRITING = LOCKS + 1;

/** Tables of which no row is ever changed or removed, and those of which none is removed. */
const FIXED = ['controllers', 'entries', 'evidence', 'checkpoints', 'cosignatures', 'stamps'];
const STAYING = [...FIXED, 'orders'];

function guardOf(table: string): string {
  const what = FIXED.includes(table) ? 'UPDATE OR DELETE OR TRUNCATE' : 'DELETE OR TRUNCATE';
  // ALWAYS: also in a session that says it replays what another server has done.
  return `CREATE TRIGGER ${table}_stay BEFORE ${what} ON ${table} EXECUTE FUNCTION refuse();
ALTER TABLE ${table} ENABLE ALWAYS TRIGGER ${table}_stay;
REVOKE ${FIXED.includes(table) ? 'UPDATE, ' : ''}DELETE, TRUNCATE ON ${table} FROM PUBLIC, CURRENT_USER;`;
}

/**
 * One script per schema version, run in order; a published one is never changed. Entries do not refer to controllers
 * by a foreign key, which would lock and check a row for every entry, nor anything to
 * checkpoints: the host makes both, and "verify" compares them.
 */
const VERSIONS = [
  `
CREATE TABLE about (program text NOT NULL, version integer NOT NULL);
INSERT INTO about VALUES ('nightproof', 0);
CREATE TABLE controllers (id integer PRIMARY KEY, address text NOT NULL UNIQUE);
CREATE TABLE entries (
  entry bigint PRIMARY KEY,
  controller integer NOT NULL,
  journal text NOT NULL,
  seq bigint NOT NULL,
  kind text NOT NULL,
  test bigint NOT NULL,
  at bigint NOT NULL,
  body text NOT NULL,
  hash text NOT NULL
);
CREATE UNIQUE INDEX entries_once ON entries (controller, journal, seq);
CREATE INDEX entries_by_kind ON entries (kind, controller, entry);
CREATE INDEX entries_by_controller ON entries (controller, entry);
CREATE TABLE evidence (
  id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  at bigint NOT NULL,
  controller integer NOT NULL,
  journal text NOT NULL,
  seq bigint NOT NULL,
  why text NOT NULL,
  body text NOT NULL,
  mark text NOT NULL,
  UNIQUE (controller, mark)
);
CREATE TABLE orders (
  controller integer NOT NULL,
  counter bigint NOT NULL,
  what bigint NOT NULL,
  arg bigint NOT NULL,
  who text NOT NULL,
  at bigint NOT NULL,
  answer text NOT NULL,
  PRIMARY KEY (controller, counter)
);
CREATE INDEX orders_by_time ON orders (at, counter);
CREATE TABLE memory (name text PRIMARY KEY, text text NOT NULL);
CREATE TABLE tiles (
  level integer NOT NULL,
  number bigint NOT NULL,
  hashes bytea NOT NULL,
  root bytea NOT NULL,
  PRIMARY KEY (level, number)
);
CREATE TABLE checkpoints (size bigint PRIMARY KEY, at bigint NOT NULL, text text NOT NULL);
CREATE TABLE cosignatures (
  id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  size bigint NOT NULL,
  line text NOT NULL,
  UNIQUE (size, line)
);
CREATE TABLE stamps (
  id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  size bigint NOT NULL,
  url text NOT NULL,
  at bigint NOT NULL,
  token bytea NOT NULL
);
CREATE INDEX stamps_by_size ON stamps (size);
CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION 'the log book is append-only'; END $$;
${STAYING.map(guardOf).join('\n')}
`,
];

/** Takes the only right to write until the end of the transaction. */
export function takeWriting({ schema }: Place): string {
  return `SELECT pg_advisory_xact_lock(${WRITING}, hashtext('${schema}'))`;
}

/** Version of what is there, 0 for nothing. @throws LogbookError with one sentence if it is foreign or newer */
export async function versionOf(client: Client, { shown, schema }: Place): Promise<number> {
  const sql = `SELECT count(*) AS parts, to_regclass($1) IS NOT NULL AS ours FROM pg_class c
    JOIN pg_namespace n ON n.oid = c.relnamespace WHERE n.nspname = $2`;
  const { parts, ours } = (await client.query(sql, [`"${schema}".about`, schema])).rows[0];
  if (parts === 0) return 0;
  const foreign = new LogbookError(
    `The schema "${schema}" of ${shown} belongs to another program; name another with ?schema=NAME.`,
  );
  if (!ours) throw foreign;
  const [about] = (await client.query(`SELECT * FROM "${schema}".about`)).rows;
  if (about?.program !== 'nightproof') throw foreign;
  if (about.version > VERSIONS.length)
    throw new LogbookError(
      `The log book ${shown} was written by a newer version; use that version to open it.`,
    );
  return about.version;
}

/** Makes what is not there yet. @throws LogbookError with one sentence */
export function prepareSchema(session: Session): Promise<void> {
  const { place } = session;
  return session.use(async (client) => {
    if ((await versionOf(client, place)) === VERSIONS.length) return;
    await client.query('BEGIN');
    await client.query(takeWriting(place));
    // Another process may have made it meanwhile.
    const version = await versionOf(client, place);
    if (version === 0) await makeSchema(client, place);
    await bringUp(client, version);
    await client.query('COMMIT');
  });
}

/** Makes an empty log book, as part of a transaction. @throws LogbookError with one sentence if there is one */
export async function emptySchema(client: Client, place: Place): Promise<void> {
  if ((await versionOf(client, place)) > 0)
    throw new LogbookError(
      `There is a log book ${place.shown} already, and nothing is replaced; name another schema with ?schema=NAME.`,
    );
  await makeSchema(client, place);
  await bringUp(client, 0);
}

async function makeSchema(client: Client, place: Place): Promise<void> {
  if (!(await hasSchema(client, place))) await client.query(`CREATE SCHEMA "${place.schema}"`);
}

async function bringUp(client: Client, version: number): Promise<void> {
  for (let v = version; v < VERSIONS.length; v++)
    await client.query(`${VERSIONS[v]}; UPDATE about SET version = ${v + 1}`);
}

async function hasSchema(client: Client, { schema }: Place): Promise<boolean> {
  const { rowCount } = await client.query('SELECT 1 FROM pg_namespace WHERE nspname = $1', [schema]);
  return rowCount === 1;
}

/** What keeps rows from being changed and is not there, or was switched off; one sentence each. */
export async function missingGuards(client: Client, { schema }: Place): Promise<string[]> {
  const sql = `SELECT t.tgname AS name FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid
    JOIN pg_namespace n ON n.oid = c.relnamespace JOIN pg_proc p ON p.oid = t.tgfoid
    WHERE n.nspname = $1 AND t.tgenabled = 'A' AND p.proname = 'refuse' AND p.pronamespace = n.oid
    AND p.prosrc LIKE '%RAISE EXCEPTION%append-only%'`;
  const there = new Set((await client.query(sql, [schema])).rows.map(({ name }) => name));
  return STAYING.map((table) => `${table}_stay`)
    .filter((name) => !there.has(name))
    .map(
      (name) => `The database's part "${name}" is missing or was changed; it is there to prevent changes.`,
    );
}
