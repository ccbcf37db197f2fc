// The thin layer between a queue of RabbitMQ and the ingest: records that controllers publish by MQTT wait in a quorum
// queue, and a worker confirms them to it only after they are committed and their controllers' acknowledgements are
// sent. Of several workers on a queue one works and the others wait to take over, so that every journal
// keeps its order and one process at a time continues the chain of the log book.
import amqp, { type Channel, type ChannelModel, type ConsumeMessage } from 'amqplib';
import { addressOf, topicOf } from '../../firmware/contract/topics';
import { withoutPassword } from '../broker/address';
import type { Login } from '../broker/logins';
import type { Publish } from './answers';
import type { Ingest } from './ingest';

export interface WorkerOptions {
  /** amqp://host:port or amqps://, of one node or several; the next is tried when one is lost. */
  urls: readonly string[];
  site: string;
  /** User and password at a node; without them as its URL says. */
  login?: (url: string) => Login | undefined;
  onProblem?: (sentence: string) => void;
  /** Called whenever it is connected. */
  onConnect?: (url: string) => void;
}

export interface Worker {
  publish: Publish;
  /** Commits what it has taken, confirms it, and disconnects. */
  close(): Promise<void>;
}

/** Where the MQTT plugin of RabbitMQ puts what is published, with dots for slashes (RabbitMQ documentation, "MQTT"). */
const EXCHANGE = 'amq.topic';
/** Most records in one commit, and as many that may be on their way to a worker. */
const COMMIT_COUNT = 500;
const PREFETCH = 2 * COMMIT_COUNT;
/** Between attempts to connect, or to commit what could not be committed, ms. */
const AGAIN_MS = 1000;
const HEARTBEAT_SEC = 10;

const keyOf = (topic: string): string => topic.replaceAll('/', '.').replaceAll('+', '*');
const topicOfKey = (key: string): string => key.replaceAll('.', '/');

export function queueOf(site: string): string {
  return `nightproof.${site}.records`;
}

/** What `docs/estate.md` declares, word for word: RabbitMQ refuses a queue that is declared in two ways. */
const QUEUE = {
  durable: true,
  arguments: { 'x-queue-type': 'quorum', 'x-single-active-consumer': true },
};

function connect(url: string, login: Login | undefined): Promise<ChannelModel> {
  const { protocol, hostname, port, pathname, username, password } = new URL(url);
  return amqp.connect({
    protocol: protocol.replace(':', ''),
    hostname,
    port: Number(port || (protocol === 'amqps:' ? 5671 : 5672)),
    username: login?.user ?? (decodeURIComponent(username) || 'guest'),
    password: login?.password ?? (decodeURIComponent(password) || 'guest'),
    vhost: decodeURIComponent(pathname.slice(1)) || '/',
    heartbeat: HEARTBEAT_SEC,
  });
}

class QueueWorker implements Worker {
  private channel: Channel | undefined;
  private connection: ChannelModel | undefined;
  /** Taken from the queue and not confirmed to it, oldest first. */
  private taken: ConsumeMessage[] = [];
  private working: Promise<void> | undefined;
  private isClosing = false;
  private again: NodeJS.Timeout | undefined;
  private told = '';
  private attempts = 0;
  private url = '';

  constructor(
    private readonly ingest: () => Ingest,
    private readonly o: WorkerOptions,
  ) {
    void this.join();
  }

  readonly publish: Publish = (topic, payload, { qos }) => {
    if (!this.channel) return false;
    this.channel.publish(EXCHANGE, keyOf(topic), Buffer.from(payload), { persistent: qos === 1 });
    return true;
  };

  async close(): Promise<void> {
    this.isClosing = true;
    clearTimeout(this.again);
    await this.working;
    await this.connection?.close().catch(() => {});
  }

  private async join(): Promise<void> {
    const { urls, login } = this.o;
    this.url = urls[this.attempts++ % urls.length];
    try {
      this.connection = await connect(this.url, login?.(this.url));
      this.connection.on('error', (error: Error) => this.tell(error.message));
      this.connection.on('close', () => this.lost());
      const channel = await this.connection.createChannel();
      channel.on('error', (error: Error) => this.tell(error.message));
      channel.on('close', () => void this.connection?.close().catch(() => {}));
      const queue = queueOf(this.o.site);
      await channel.assertQueue(queue, QUEUE);
      await channel.bindQueue(queue, EXCHANGE, keyOf(topicOf(addressOf(this.o.site, '+'), 'record')));
      await channel.prefetch(PREFETCH);
      this.channel = channel;
      await channel.consume(queue, (message) => this.take(channel, message));
      this.told = '';
      this.o.onConnect?.(this.url);
    } catch (error) {
      this.tell((error as Error).message || String((error as { code?: string }).code));
      await this.connection?.close().catch(() => {});
      this.lost();
    }
  }

  /** What was taken and not confirmed, the queue gives to whoever works next. */
  private lost(): void {
    this.channel = undefined;
    this.connection = undefined;
    this.taken = [];
    if (this.isClosing) return;
    clearTimeout(this.again);
    this.again = setTimeout(() => void this.join(), AGAIN_MS);
  }

  private tell(why: string): void {
    if (this.told === why) return;
    this.told = why;
    const place = withoutPassword(this.url);
    this.o.onProblem?.(`No work with the queue at ${place} (${why}); still trying.`);
  }

  private take(channel: Channel, message: ConsumeMessage | null): void {
    if (channel !== this.channel) return;
    // The queue was deleted, or its leader is gone; a new connection asks for it again.
    if (!message) void this.connection?.close().catch(() => {});
    else this.taken.push(message);
    if (this.isClosing || this.taken.length === 0) return;
    this.working ??= this.work(channel).finally(() => {
      this.working = undefined;
    });
  }

  private async work(channel: Channel): Promise<void> {
    // What arrives in the same moment is one commit.
    await new Promise((resolve) => setImmediate(resolve));
    while (channel === this.channel && this.taken.length > 0) {
      const batch = this.taken.slice(0, COMMIT_COUNT);
      if (!(await this.store(batch))) {
        if (this.isClosing) return;
        await new Promise((resolve) => setTimeout(resolve, AGAIN_MS));
        continue;
      }
      if (channel !== this.channel) return;
      this.taken.splice(0, batch.length);
      // After the acknowledgements and on their channel: the broker takes them in this order.
      channel.ack(batch[batch.length - 1], true);
    }
  }

  /** @returns whether all is durable and every acknowledgement was sent */
  private store(batch: ConsumeMessage[]): Promise<boolean> {
    const ingest = this.ingest();
    for (const { fields, content } of batch) ingest.accept(topicOfKey(fields.routingKey), content, false);
    return ingest.flush();
  }
}

/**
 * Takes records from the queue of a site, and goes on doing so whatever happens to the broker. `ingest` is a function,
 * because the ingest publishes through this very worker.
 */
export function startWorker(ingest: () => Ingest, options: WorkerOptions): Worker {
  return new QueueWorker(ingest, options);
}
