// The bare way through the same brokers: published by MQTT, kept in a quorum queue, taken by AMQP and confirmed; once with
// nothing behind it, and once with a process that puts the same rows into the same database.
import { type ChildProcess, fork } from 'node:child_process';
import amqp from 'amqplib';
import mqtt from 'mqtt';
import { newJournal } from '../../host/logbook/records';
import { resultOfEight } from '../records';
import { IN_FLIGHT } from './controllers';

const QUEUE = 'bench.bare';
export const INSERTED = 'bench.inserted';
/** Taken and not confirmed at most. */
const PREFETCH = 1000;

/** Declares a quorum queue of this name, into which MQTT publishes. */
export async function queueOn(connection: amqp.ChannelModel, name: string): Promise<amqp.Channel> {
  const channel = await connection.createChannel();
  await channel.assertQueue(name, { durable: true, arguments: { 'x-queue-type': 'quorum' } });
  await channel.bindQueue(name, 'amq.topic', name);
  await channel.prefetch(PREFETCH);
  return channel;
}

/** Sends records by MQTT, so many on their way at most. */
class Publisher {
  private taken = 0;
  private sent = 0;
  private done = () => {};

  private constructor(
    private readonly client: mqtt.MqttClient,
    private readonly topic: string,
    private readonly bodies: readonly string[],
  ) {}

  static async to(url: string, queue: string, bodies: readonly string[]): Promise<Publisher> {
    const client = await mqtt.connectAsync(url, { protocolVersion: 4 });
    return new Publisher(client, queue.replaceAll('.', '/'), bodies);
  }

  /** Resolves when all are taken. */
  send(): Promise<void> {
    this.more();
    return new Promise((resolve) => {
      this.done = resolve;
    });
  }

  /** So many more have arrived at the other end. */
  took(count: number): void {
    this.taken += count;
    this.more();
    if (this.taken === this.bodies.length) this.done();
  }

  end(): Promise<void> {
    return this.client.endAsync(true);
  }

  private more(): void {
    while (this.sent < this.bodies.length && this.sent - this.taken < IN_FLIGHT)
      this.client.publish(this.topic, this.bodies[this.sent++], { qos: 1 }, () => {});
  }
}

/** ms for so many records through the queue alone. */
export async function throughQueue(node: { amqp: string; mqtt: string }, count: number): Promise<number> {
  const journal = newJournal('bench/bare');
  const bodies = Array.from({ length: count }, () => resultOfEight(journal).body);
  const connection = await amqp.connect(node.amqp);
  const channel = await queueOn(connection, QUEUE);
  const publisher = await Publisher.to(node.mqtt, QUEUE, bodies);
  let taken = 0;
  await channel.consume(QUEUE, (message) => {
    if (!message) return;
    taken++;
    if (taken % 100 === 0 || taken === count) channel.ack(message, true);
    publisher.took(1);
  });
  const began = performance.now();
  await publisher.send();
  const took = performance.now() - began;
  await publisher.end();
  await connection.close();
  return took;
}

/** A consumer that inserts what it takes, and confirms it then. */
export class Inserting {
  private readonly journal = newJournal('bench/inserted');
  private publisher: Publisher | undefined;

  private constructor(private readonly process: ChildProcess) {
    process.on('message', (count: number) => this.publisher?.took(count));
  }

  static async on(node: { amqp: string }, db: string): Promise<Inserting> {
    const child = fork('tests/bench/estate/inserting.ts', [node.amqp, db], {
      execArgv: ['--import', 'tsx'],
    });
    await new Promise((resolve, reject) => {
      child.once('message', resolve);
      child.once('exit', () => reject(new Error('The bare inserts did not begin.')));
    });
    return new Inserting(child);
  }

  /** ms for so many records through the queue into the database. */
  async through(node: { mqtt: string }, count: number): Promise<number> {
    const bodies = Array.from({ length: count }, () => resultOfEight(this.journal).body);
    this.publisher = await Publisher.to(node.mqtt, INSERTED, bodies);
    const began = performance.now();
    await this.publisher.send();
    const took = performance.now() - began;
    await this.publisher.end();
    return took;
  }

  end(): void {
    this.process.kill('SIGKILL');
  }
}
