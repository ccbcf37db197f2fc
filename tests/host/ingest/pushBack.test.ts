// A disk that is slower than the records come: the host makes the broker wait, keeps its memory bounded, and loses
// nothing.
import mqtt from 'mqtt';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { topicOf } from '../../../firmware/contract/topics';
import { systemClock } from '../../../host/clock';
import { createIngest, type Ingest } from '../../../host/ingest/ingest';
import { type Subscriber, startSubscriber } from '../../../host/ingest/subscriber';
import { openLogbook } from '../../../host/logbook/engines/open';
import type { Logbook } from '../../../host/logbook/logbook';
import { type MosquittoBroker, startMosquitto } from '../../support/brokers';
import { KEYS, newJournal } from '../logbook/records';

const A = 'demo/a';
/** More than the ingest has room for. */
const RECORDS = 6000;
/** Records that the subscriber lets wait. */
const ROOM = 2000;

let broker: MosquittoBroker;
let logbook: Logbook;
let ingest: Ingest;
let subscriber: Subscriber;
/** Most records that waited. */
let most = 0;
let release: () => void;

beforeEach(async () => {
  most = 0;
  // The broker keeps what the host leaves with it: only the host's own bound is looked at.
  broker = await startMosquitto({ config: ['max_queued_messages 0'] });
  logbook = await openLogbook(':memory:');
  const disk = new Promise<void>((resolve) => {
    release = resolve;
  });
  const slow: Logbook = {
    ...logbook,
    async appendBatch(records) {
      await disk;
      return logbook.appendBatch(records);
    },
  };
  const connected = new Promise<void>((resolve) => {
    const options = { url: broker.url, site: 'demo', onConnect: resolve };
    subscriber = startSubscriber(() => ingest, options);
  });
  const { publish } = subscriber;
  const made = createIngest({ logbook: slow, keys: KEYS, clock: systemClock, publish });
  ingest = {
    ...made,
    counts: made.counts,
    waiting: () => made.waiting(),
    flush: () => made.flush(),
    accept(...message) {
      const kind = made.accept(...message);
      most = Math.max(most, made.waiting());
      return kind;
    },
  };
  await connected;
});

afterEach(async () => {
  release();
  await subscriber.close();
  await broker.kill();
  await logbook.close();
});

/** Hands texts to the broker, which has them all on return, while nothing can be written. */
async function publishAll(texts: string[]): Promise<void> {
  const client = await mqtt.connectAsync(broker.url, { protocolVersion: 4 });
  await Promise.all(texts.map((text) => client.publishAsync(topicOf(A, 'record'), text, { qos: 1 })));
  await expect.poll(() => ingest.waiting(), { timeout: 60_000 }).toBeGreaterThanOrEqual(ROOM / 2);
  await client.endAsync();
}

it('has the broker wait while the disk is slow, and stores all that came', async () => {
  const journal = newJournal(A);
  await publishAll(Array.from({ length: RECORDS }, () => journal.next('held', { reason: 23, arg: 0 })));
  // A host that does not push back takes in the rest now.
  await new Promise((resolve) => setTimeout(resolve, 300));
  release();
  await expect.poll(() => logbook.through(A, '0a1b2c3d'), { timeout: 60_000 }).toBe(RECORDS);
  expect(most).toBeLessThanOrEqual(ROOM);
  expect(ingest.counts).toMatchObject({ stored: RECORDS, deferred: 0, duplicates: 0 });
});

it('keeps the order, and stores once what comes twice, while it holds the broker back', async () => {
  const journal = newJournal(A);
  const texts = Array.from({ length: 2 * ROOM }, () => journal.next('held', { reason: 23, arg: 0 }));
  await publishAll(texts.flatMap((text, i) => (i % 10 === 9 ? [text, text] : [text])));
  release();
  await expect.poll(() => logbook.through(A, '0a1b2c3d'), { timeout: 60_000 }).toBe(2 * ROOM);
  await expect.poll(() => ingest.counts.duplicates, { timeout: 60_000 }).toBe((2 * ROOM) / 10);
  const seqs: number[] = [];
  for (let after = 0; after < 2 * ROOM; after += 500)
    seqs.push(...(await logbook.after(after, 500)).map(({ seq }) => seq));
  expect(seqs).toEqual(texts.map((_, i) => i + 1));
  expect(await logbook.verify(KEYS)).toMatchObject({ valid: true });
});
