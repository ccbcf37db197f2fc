// The bare way through the same brokers: published by MQTT, kept in a quorum queue, taken by AMQP and confirmed.
import amqp from 'amqplib';
import mqtt from 'mqtt';
import { newJournal } from '../../host/logbook/records';
import { resultOfEight } from '../records';

const QUEUE = 'bench.bare';
const PREFETCH = 1000;
/** Messages on their way at most. */
const WINDOW = 1000;

/** Messages a second. */
export async function bareRate(node: { amqp: string; mqtt: string }, count: number): Promise<number> {
  const journal = newJournal('bench/bare');
  const bodies = Array.from({ length: count }, () => resultOfEight(journal).body);
  const connection = await amqp.connect(node.amqp);
  const channel = await connection.createChannel();
  await channel.assertQueue(QUEUE, { durable: true, arguments: { 'x-queue-type': 'quorum' } });
  await channel.bindQueue(QUEUE, 'amq.topic', QUEUE);
  await channel.prefetch(PREFETCH);
  const client = await mqtt.connectAsync(node.mqtt, { protocolVersion: 4 });
  const began = performance.now();
  let taken = 0;
  let sent = 0;
  await new Promise<void>((resolve) => {
    const more = (): void => {
      while (sent < count && sent - taken < WINDOW)
        client.publish(QUEUE.replaceAll('.', '/'), bodies[sent++], { qos: 1 }, () => {});
    };
    void channel.consume(QUEUE, (message) => {
      if (!message) return;
      taken++;
      if (taken % 100 === 0 || taken === count) channel.ack(message, true);
      more();
      if (taken === count) resolve();
    });
    more();
  });
  const took = performance.now() - began;
  await client.endAsync(true);
  await connection.close();
  return (count * 1000) / took;
}
