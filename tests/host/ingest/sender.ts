// A small publisher that behaves like a controller: it keeps every record until the log book acknowledges it,
// and keeps sending it until then.
import mqtt, { type MqttClient } from 'mqtt';
import { hasValidSignature } from '../../../firmware/contract/signature';
import { topicOf } from '../../../firmware/contract/topics';
import { KEYS, newJournal } from '../logbook/records';

export interface Sender {
  address: string;
  /** Newest record the log book has acknowledged. */
  acked(): number;
  /** Resolves when records up to this number are acknowledged. */
  until(seq: number): Promise<void>;
  /** Writes no further record; returns the number of the last one. */
  last(): number;
  stop(): void;
}

/** Records sent ahead of the acknowledgement, and how long to wait before sending them again, ms. */
const WINDOW = 40;
const AGAIN_MS = 150;

/** Sends records of one controller through the broker at `url`: `count` of them, or until told to write no more. */
export function startSender(url: string, address: string, count = Number.POSITIVE_INFINITY): Sender {
  const journal = newJournal(address);
  const texts: string[] = [];
  const waiting: { seq: number; resolve: () => void }[] = [];
  let acked = 0;
  let sent = 0;
  const client: MqttClient = mqtt.connect(url, { protocolVersion: 4, reconnectPeriod: 50, clean: true });
  client.on('error', () => {});
  client.on('connect', () => {
    sent = acked;
    client.subscribe(topicOf(address, 'ack'), { qos: 1 });
  });
  const send = (): void => {
    while (client.connected && sent < count && sent < acked + WINDOW) {
      if (sent === texts.length) texts.push(journal.next('held', { reason: 23, arg: 0 }));
      client.publish(topicOf(address, 'record'), texts[sent], { qos: 1 }, () => {});
      sent++;
    }
  };
  client.on('message', (_topic, payload) => {
    const text = payload.toString('latin1');
    if (!hasValidSignature(KEYS.keyOf(address), 'ack', address, text))
      throw new Error('An ack is not signed.');
    const { through } = JSON.parse(text) as { through: number };
    if (through > texts.length) throw new Error(`Record ${through} was acknowledged but never written.`);
    acked = Math.max(acked, through);
    for (const w of waiting.filter((w) => w.seq <= acked)) w.resolve();
    send();
  });
  let before = -1;
  const again = setInterval(() => {
    if (acked === before) sent = acked;
    before = acked;
    send();
  }, AGAIN_MS);
  return {
    address,
    acked: () => acked,
    until: (seq) =>
      seq <= acked ? Promise.resolve() : new Promise((resolve) => waiting.push({ seq, resolve })),
    last() {
      count = texts.length;
      return count;
    },
    stop() {
      clearInterval(again);
      client.end(true);
    },
  };
}
