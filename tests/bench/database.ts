// What a record costs on its way into a log book in PostgreSQL, beside the same rows simply inserted in batches into the
// same table of another schema.
import { performance } from 'node:perf_hooks';
import pg from 'pg';
import { openLogbook } from '../../host/logbook/engines/open';
import type { NewRecord } from '../../host/logbook/logbook';
import { newJournal } from '../host/logbook/records';
import { startPostgres } from '../support/postgres';
import { resultOfEight } from './records';

/** Batches of each of the two, by turns, so that a busy moment of the machine meets both. */
const TURNS = 40;
const CONTROLLERS = 50;

const BARE = `INSERT INTO bare.entries SELECT * FROM json_to_recordset($1) AS t(entry bigint, controller integer,
  journal text, seq bigint, kind text, test bigint, at bigint, body text, hash text)`;

export interface DatabaseRates {
  /** Records a second. */
  engine: number;
  bare: number;
}

/** Records a second in batches of `batch`. */
export async function databaseRates(batch: number): Promise<DatabaseRates> {
  const database = await startPostgres();
  try {
    const logbook = await openLogbook(database.url);
    await (await openLogbook(`${database.url}?schema=bare`)).close();
    const client = new pg.Client({ connectionString: database.url });
    await client.connect();
    const journals = Array.from({ length: CONTROLLERS }, (_, i) => newJournal(`bench/c${i}`));
    const next = (turn: number): NewRecord[] =>
      Array.from({ length: batch }, (_, i) => resultOfEight(journals[(turn * batch + i) % CONTROLLERS]));
    const took = { engine: 0, bare: 0 };
    const timed = async (which: keyof typeof took, work: () => Promise<unknown>): Promise<void> => {
      const began = performance.now();
      await work();
      took[which] += performance.now() - began;
    };
    for (let turn = 0; turn < TURNS; turn++) {
      const records = next(turn);
      await timed('engine', () => logbook.appendBatch(records));
      const rows = records.map(({ address, ...r }, i) => {
        const controller = Number(address.slice('bench/c'.length));
        return { ...r, entry: turn * batch + i + 1, controller, hash: '0'.repeat(64) };
      });
      await timed('bare', () => client.query(BARE, [JSON.stringify(rows)]));
    }
    await client.end();
    await logbook.close();
    const rate = (ms: number): number => (TURNS * batch * 1000) / ms;
    return { engine: rate(took.engine), bare: rate(took.bare) };
  } finally {
    await database.remove();
  }
}
