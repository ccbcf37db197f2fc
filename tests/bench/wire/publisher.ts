// The controllers of a bench, as a process of their own: node --import tsx publisher.ts PORT CONTROLLERS RECORDS
// Records are signed before it says 'ready'. On 'flood' it publishes all of them as fast as the broker takes them; on
// a number it publishes so many a second, and answers with the times until each was acknowledged, ms.
import { connect, type Socket } from 'node:net';
import mqttPacket from 'mqtt-packet';
import { topicOf } from '../../../firmware/contract/topics';
import { newJournal, resultFields } from '../../host/logbook/records';

const [port, controllers, each] = process.argv.slice(2).map(Number);
const LAMPS = Array.from({ length: 8 }, () => [1, 0, 90, 300, 300, 290, 2]);
/** Packets are written together in pieces of this many, so that the publisher costs little. */
const PIECE = 200;
/** A paced publisher looks this often how many are due, ms. */
const LOOK_MS = 2;

interface Sent {
  address: string;
  seq: number;
  bytes: Buffer;
}

/** One record of every controller, then the next of each. */
function makeRecords(): Sent[] {
  const journals = Array.from({ length: controllers }, (_, i) => `bench/circuit-${i}`).map((address) => ({
    address,
    journal: newJournal(address),
  }));
  let messageId = 0;
  return Array.from({ length: each }, (_, round) =>
    journals.map(({ address, journal }) => {
      messageId = (messageId % 65_535) + 1;
      const payload = journal.next('result', resultFields(LAMPS, { test: round + 1 }));
      const topic = topicOf(address, 'record');
      const fields = {
        cmd: 'publish',
        topic,
        payload,
        qos: 1,
        messageId,
        dup: false,
        retain: false,
      } as const;
      return { address, seq: round + 1, bytes: mqttPacket.generate(fields) };
    }),
  ).flat();
}

/** Connects, and calls back with each packet that comes. */
function open(clientId: string, onPacket: (packet: mqttPacket.Packet) => void): Socket {
  const socket = connect(port, '127.0.0.1');
  const parser = mqttPacket.parser({ protocolVersion: 4 });
  parser.on('packet', onPacket);
  socket.on('data', (bytes) => void parser.parse(bytes));
  socket.write(
    mqttPacket.generate({
      cmd: 'connect',
      clientId,
      clean: true,
      keepalive: 0,
      protocolVersion: 4,
      protocolId: 'MQTT',
    }),
  );
  return socket;
}

function flood(records: Sent[]): void {
  let acked = 0;
  const socket = open('flood', ({ cmd }) => {
    if (cmd === 'connack')
      for (let i = 0; i < records.length; i += PIECE)
        socket.write(Buffer.concat(records.slice(i, i + PIECE).map(({ bytes }) => bytes)));
    if (cmd === 'puback' && ++acked === records.length) socket.end();
  });
}

/** Publishes at a steady rate; a record is acknowledged when the log book's signed message says so. */
function pace(records: Sent[], perSecond: number): void {
  const sentAt = new Map<string, number>();
  const through = new Map<string, number>();
  const tookMs: number[] = [];
  let sent = 0;
  let began = 0;
  const socket = open('pace', (packet) => {
    if (packet.cmd === 'connack')
      socket.write(
        mqttPacket.generate({
          cmd: 'subscribe',
          messageId: 1,
          subscriptions: [{ topic: 'nightproof/+/+/ack', qos: 0 }],
        }),
      );
    if (packet.cmd === 'suback') {
      began = performance.now();
      timer = setInterval(sendDue, LOOK_MS);
    }
    if (packet.cmd === 'publish') heed(packet.topic, packet.payload.toString());
  });
  let timer: NodeJS.Timeout | undefined;
  const sendDue = (): void => {
    const now = performance.now();
    const due = Math.min(records.length, Math.floor(((now - began) * perSecond) / 1000));
    if (due > sent) socket.write(Buffer.concat(records.slice(sent, due).map(({ bytes }) => bytes)));
    for (; sent < due; sent++) sentAt.set(`${records[sent].address} ${records[sent].seq}`, now);
    if (sent === records.length) clearInterval(timer);
  };
  const heed = (topic: string, text: string): void => {
    const address = topic.split('/').slice(1, 3).join('/');
    const to = (JSON.parse(text) as { through: number }).through;
    for (let seq = (through.get(address) ?? 0) + 1; seq <= to; seq++)
      tookMs.push(performance.now() - (sentAt.get(`${address} ${seq}`) ?? Number.NaN));
    through.set(address, Math.max(to, through.get(address) ?? 0));
    if (tookMs.length === records.length) socket.end(() => process.send?.(tookMs));
  };
}

const records = makeRecords();
process.on('message', (wish: 'flood' | number) => (wish === 'flood' ? flood(records) : pace(records, wish)));
process.send?.('ready');
