// What a record costs on its way: into the controller's journal, over MQTT, into the log book.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import mqttPacket from 'mqtt-packet';
import { signingKey } from '../../firmware/contract/signature';
import { topicOf } from '../../firmware/contract/topics';
import { acknowledge, appendRecord, mountJournal } from '../../firmware/journal/journal';
import { decode, encodePublish, newPacket } from '../../firmware/link/packets';
import { systemClock } from '../../host/clock';
import { createIngest } from '../../host/ingest/ingest';
import { sha256 } from '../../host/keys';
import { openLogbook } from '../../host/logbook/engines/open';
import type { NewRecord } from '../../host/logbook/logbook';
import { SimulatedFlash } from '../../simulator/flash';
import { type Journal, KEYS, newJournal, resultFields } from '../host/logbook/records';

const ADDRESS = 'bench/circuit';
const FILE_BYTES = 65_536;
const LAMPS = Array.from({ length: 8 }, () => [1, 0, 90, 300, 300, 290, 2]);
/** Body of a brief test's result, as the core passes it to the journal. */
const BODY = JSON.stringify({
  boot: 1,
  utc: 1770000000,
  clock: 2,
  kind: 'result',
  ...resultFields(LAMPS),
}).slice(1, -1);

/** A result of eight luminaires, the next record of a journal. */
export function resultOfEight(journal: Journal): NewRecord {
  return journal.record('result', resultFields(LAMPS));
}

/** Runs `work` for at least `ms`. @returns the runs per second */
export function rate(work: () => void, ms = 700): number {
  for (let i = 0; i < 50; i++) work();
  const began = performance.now();
  let runs = 0;
  do {
    for (let i = 0; i < 20; i++) work();
    runs += 20;
  } while (performance.now() - began < ms);
  return (runs * 1000) / (performance.now() - began);
}

/** Records a second that are signed, chained, written and read back; and the same bytes simply written. */
export function journalRates(): { journal: number; raw: number } {
  const flash = new SimulatedFlash();
  const journal = mountJournal(
    flash,
    signingKey('secret', sha256),
    ADDRESS,
    FILE_BYTES,
    () => '0a1b2c3d',
    () => {},
  );
  if (!journal) throw new Error('The simulated flash takes no journal.');
  const signed = rate(() => {
    if (!appendRecord(journal, [BODY])) throw new Error('The journal takes no record.');
    acknowledge(journal, journal.id, journal.last);
  });
  const entry = 'x'.repeat(BODY.length + 150);
  let offset = FILE_BYTES;
  const raw = rate(() => {
    if (offset + entry.length > FILE_BYTES) {
      flash.erase('raw', FILE_BYTES);
      offset = 0;
    }
    flash.append('raw', offset, '', entry);
    offset += entry.length;
  });
  return { journal: signed, raw };
}

export interface CodecRates {
  encode: number;
  encodeOther: number;
  decode: number;
  decodeOther: number;
}

/** PUBLISH packets of one record a second, to and from bytes: our code, and the package `mqtt-packet`. */
export function codecRates(): CodecRates {
  const topic = topicOf(ADDRESS, 'record');
  const text = newJournal(ADDRESS).next('result', resultFields(LAMPS));
  const wire = encodePublish(topic, text, 1, 0, 0, 7);
  const packet = newPacket();
  const fields = {
    cmd: 'publish',
    topic,
    payload: text,
    qos: 1,
    messageId: 7,
    dup: false,
    retain: false,
  } as const;
  const bytes = mqttPacket.generate(fields);
  if (bytes.toString('latin1') !== wire) throw new Error('The two codecs disagree.');
  const parser = mqttPacket.parser({ protocolVersion: 4 });
  let parsed = 0;
  parser.on('packet', () => parsed++);
  const rates = {
    encode: rate(() => void Buffer.from(encodePublish(topic, text, 1, 0, 0, 7), 'latin1')),
    encodeOther: rate(() => void mqttPacket.generate(fields)),
    decode: rate(() => void decode(bytes.toString('latin1'), packet)),
    decodeOther: rate(() => void parser.parse(bytes)),
  };
  if (packet.payload !== text || parsed === 0) throw new Error('A codec did not decode.');
  return rates;
}

/** Records a second from the wire into a log book's file, committed in batches of `batch`. */
export async function ingestRate(batch: number, records: number): Promise<number> {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-bench-'));
  const logbook = await openLogbook(join(folder, 'bench.db'));
  try {
    const journal = newJournal(ADDRESS);
    const texts = Array.from({ length: records }, () => journal.next('result', resultFields(LAMPS)));
    const topic = topicOf(ADDRESS, 'record');
    const ingest = createIngest({ logbook, keys: KEYS, clock: systemClock, publish: () => true });
    const began = performance.now();
    for (let i = 0; i < records; i++) {
      ingest.accept(topic, texts[i], false);
      if ((i + 1) % batch === 0) await ingest.flush();
    }
    await ingest.flush();
    const took = performance.now() - began;
    if ((await logbook.entries()) !== records) throw new Error('Not all records were stored.');
    return (records * 1000) / took;
  } finally {
    await logbook.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Records in each of the two, by turns, so that a busy moment of the machine meets both. */
const TURNS = 40;
const TURN_RECORDS = 500;

/**
 * Records a second that are appended to a log book's file, with chain, tree and read models, in one transaction of
 * `TURN_RECORDS`; and the same rows simply inserted into a table with the same indexes, in as many transactions.
 */
export async function appendRates(): Promise<{ append: number; bare: number }> {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-bench-'));
  const logbook = await openLogbook(join(folder, 'bench.db'));
  await (await openLogbook(join(folder, 'bare.db'))).close();
  const bare = new Database(join(folder, 'bare.db'));
  try {
    bare.pragma('synchronous = FULL');
    bare.prepare('INSERT INTO controllers (address) VALUES (?)').run(ADDRESS);
    const insert = bare.prepare('INSERT INTO entries VALUES (?, 1, ?, ?, ?, ?, ?, ?, ?)');
    const journal = newJournal(ADDRESS);
    const took = { append: 0, bare: 0 };
    let entry = 0;
    for (let turn = 0; turn < TURNS; turn++) {
      const records = Array.from({ length: TURN_RECORDS }, () => resultOfEight(journal));
      const began = performance.now();
      await logbook.appendBatch(records);
      const between = performance.now();
      bare.exec('BEGIN IMMEDIATE');
      for (const { journal: id, seq, kind, test, at, body } of records)
        insert.run(++entry, id, seq, kind, test, at, body, '0'.repeat(64));
      bare.exec('COMMIT');
      took.append += between - began;
      took.bare += performance.now() - between;
    }
    const count = TURNS * TURN_RECORDS * 1000;
    return { append: count / took.append, bare: count / took.bare };
  } finally {
    bare.close();
    await logbook.close();
    rmSync(folder, { recursive: true, force: true });
  }
}
