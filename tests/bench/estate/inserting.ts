// The bare consumer: takes records from a quorum queue, puts all that wait into one INSERT, and confirms them once it is
// committed. No signature, no chain, no tree, no answer.
//   node --import tsx tests/bench/estate/inserting.ts AMQP_URL DATABASE_URL
import amqp, { type ConsumeMessage } from 'amqplib';
import pg from 'pg';
import { INSERTED, queueOn } from './bare';

const [url, db] = process.argv.slice(2);
const INSERT = `INSERT INTO bare.entries SELECT * FROM json_to_recordset($1) AS t(entry bigint, controller integer,
  journal text, seq bigint, kind text, test bigint, at bigint, body text, hash text)`;
const HASH = '0'.repeat(64);

const client = new pg.Client({ connectionString: db });
await client.connect();
const channel = await queueOn(await amqp.connect(url), INSERTED);
let waiting: ConsumeMessage[] = [];
let isWorking = false;
let entry = 0;

function rowOf({ content }: ConsumeMessage): object {
  const body = content.toString();
  const { journal, seq, kind, test, utc } = JSON.parse(body);
  return { entry: ++entry, controller: 1, journal, seq, kind, test, at: utc, body, hash: HASH };
}

async function work(): Promise<void> {
  while (waiting.length > 0) {
    const batch = waiting;
    waiting = [];
    await client.query({ name: 'insert', text: INSERT }, [JSON.stringify(batch.map(rowOf))]);
    channel.ack(batch[batch.length - 1], true);
    process.send?.(batch.length);
  }
}

await channel.consume(INSERTED, (message) => {
  if (!message) return;
  waiting.push(message);
  if (isWorking) return;
  isWorking = true;
  // What arrives in the same moment is one INSERT.
  setImmediate(() =>
    work().finally(() => {
      isWorking = false;
    }),
  );
});
process.send?.(0);
