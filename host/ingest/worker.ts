// The thin layer between a queue of RabbitMQ and the ingest: records that controllers publish by MQTT wait in a quorum
// queue, and a worker confirms them to it only after they are committed and their controllers' acknowledgements are
// with the broker. While the database commits, what has come in since is checked. What it sends has a connection of its own: a broker that is short of disk or memory reads no more from
// those that publish, and would not learn either that its queue may be emptied. Of several workers on a queue one works and the others wait to take over, so that every journal
// keeps its order and one process at a time continues the chain of the log book.
import { setImmediate as moment, setTimeout as wait } from 'node:timers/promises';
import amqp, { type Channel, type ChannelModel, type ConfirmChannel, type ConsumeMessage } from 'amqplib';
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
  /** Ends the commit under way, confirms it, and disconnects; the queue keeps the rest. */
  close(): Promise<void>;
}

/** Where the MQTT plugin of RabbitMQ puts what is published, with dots for slashes (RabbitMQ documentation, "MQTT"). */
const EXCHANGE = 'amq.topic';
/** Most records that may be taken and not confirmed; those of them that have come in meanwhile are one commit. */
const PREFETCH = 1000;
/**
 * Least time between two commits of a flood, ms: whatever its size, each costs the broker an acknowledgement to every
 * controller in it. Measured in one run: 0.78 of the rate of bare inserts without this, 0.91 with it.
 */
const GATHER_MS = 40;
/** Between attempts to connect, or to commit what could not be committed, ms. */
const AGAIN_MS = 1000;
const HEARTBEAT_SEC = 10;
/** Longest wait for a node that takes a connection and says nothing, and for one to confirm what was sent, ms. */
const CONNECT_MS = 10_000;
const CONFIRM_MS = 10_000;

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
  const place = {
    protocol: protocol.replace(':', ''),
    hostname,
    port: Number(port || (protocol === 'amqps:' ? 5671 : 5672)),
    username: login?.user ?? (decodeURIComponent(username) || 'guest'),
    password: login?.password ?? (decodeURIComponent(password) || 'guest'),
    vhost: decodeURIComponent(pathname.slice(1)) || '/',
    heartbeat: HEARTBEAT_SEC,
  };
  return amqp.connect(place, { timeout: CONNECT_MS });
}

class QueueWorker implements Worker {
  /** On which it takes, and on which it sends. */
  private channel: Channel | undefined;
  private sending: ConfirmChannel | undefined;
  private connections: ChannelModel[] = [];
  /** Taken from the queue and not confirmed to it, oldest first. */
  private taken: ConsumeMessage[] = [];
  /** How many of them are stored, and how many the ingest has, those that are stored among them. */
  private stored = 0;
  private passed = 0;
  /** When the last commit was begun, ms of a clock that only rises. */
  private begunMs = 0;
  private joining: Promise<void>;
  private working: Promise<void> | undefined;
  /** The last batch whose confirmation was begun. */
  private confirming: Promise<void> = Promise.resolve();
  private isClosing = false;
  /** The broker reads nothing that is sent. */
  private isBlocked = false;
  private again: NodeJS.Timeout | undefined;
  private told = '';
  private attempts = 0;
  private url = '';

  constructor(
    private readonly ingest: () => Ingest,
    private readonly o: WorkerOptions,
  ) {
    this.joining = this.join();
  }

  readonly publish: Publish = (topic, payload, { qos }) => {
    // A controller that hears nothing sends its records again, and is told then.
    if (!this.sending || this.isBlocked) return false;
    try {
      this.sending.publish(EXCHANGE, keyOf(topic), Buffer.from(payload), { persistent: qos === 1 });
      return true;
    } catch {
      // The channel has ended, and its connection is about to.
      return false;
    }
  };

  async close(): Promise<void> {
    this.isClosing = true;
    clearTimeout(this.again);
    await this.joining;
    await this.working;
    await this.confirming;
    await this.leave();
  }

  private async join(): Promise<void> {
    const { urls, login } = this.o;
    this.url = urls[this.attempts++ % urls.length];
    const joined: ChannelModel[] = [];
    this.connections = joined;
    const connected = async (): Promise<ChannelModel> => {
      const connection = await connect(this.url, login?.(this.url));
      joined.push(connection);
      connection.on('error', (error: Error) => this.tell(error.message));
      connection.on('close', () => this.lost(joined));
      return connection;
    };
    try {
      const channel = await (await connected()).createChannel();
      const sending = await (await connected()).createConfirmChannel();
      for (const end of [channel, sending]) {
        end.on('error', (error: Error) => this.tell(error.message));
        end.on('close', () => this.lost(joined));
      }
      this.heedBlocks(joined[1]);
      if (this.isClosing) return;
      const queue = queueOf(this.o.site);
      await channel.assertQueue(queue, QUEUE);
      await channel.bindQueue(queue, EXCHANGE, keyOf(topicOf(addressOf(this.o.site, '+'), 'record')));
      await channel.prefetch(PREFETCH);
      // One of them may have ended meanwhile.
      if (joined !== this.connections || this.isClosing) return;
      [this.channel, this.sending, this.told] = [channel, sending, ''];
      await channel.consume(queue, (message) => this.take(channel, message));
      this.o.onConnect?.(this.url);
    } catch (error) {
      this.tell((error as Error).message || String((error as { code?: string }).code));
      this.lost(joined);
    }
  }

  private heedBlocks(connection: ChannelModel): void {
    this.isBlocked = false;
    connection.on('blocked', (why: string) => {
      this.isBlocked = true;
      this.o.onProblem?.(
        `The broker at ${withoutPassword(this.url)} takes no messages (${why}). Records that wait there are stored; ` +
          'their controllers are told when it takes messages again.',
      );
    });
    connection.on('unblocked', () => {
      this.isBlocked = false;
    });
  }

  /** What was taken and not confirmed, the queue gives to whoever works next. */
  private lost(which: ChannelModel[]): void {
    if (which !== this.connections) return;
    void this.leave();
    if (this.isClosing) return;
    clearTimeout(this.again);
    this.again = setTimeout(() => {
      this.joining = this.join();
    }, AGAIN_MS);
  }

  private async leave(): Promise<void> {
    const { connections } = this;
    [this.channel, this.sending] = [undefined, undefined];
    [this.connections, this.taken] = [[], []];
    this.passAgain(0);
    // A node that does not answer is not waited for: its connection ends with its heartbeat.
    const ends = connections.map((connection) => connection.close().catch(() => {}));
    await Promise.race([Promise.all(ends), wait(AGAIN_MS)]);
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
    if (!message) {
      this.lost(this.connections);
      return;
    }
    this.taken.push(message);
    // It is checked while the database commits what came before; unless that failed and must be tried again first.
    if (this.passed === this.taken.length - 1) this.pass();
    this.begin();
  }

  private begin(): void {
    const { channel, connections } = this;
    if (this.working || this.isClosing || !channel || this.stored === this.taken.length) return;
    this.working = this.work(channel)
      .catch((error: Error) => this.fail(error, connections))
      .finally(() => {
        this.working = undefined;
        // A new connection may have brought more while the last commit of the old one was under way.
        this.begin();
      });
  }

  private fail(error: Error, connections: ChannelModel[]): void {
    if (connections !== this.connections) return;
    this.tell(error.message);
    this.lost(connections);
  }

  private async work(channel: Channel): Promise<void> {
    // What arrives in the same moment is one commit.
    await moment();
    while (!this.isClosing && channel === this.channel && this.stored < this.taken.length) {
      await this.gather();
      if (this.isClosing || channel !== this.channel) return;
      this.pass();
      const count = this.passed - this.stored;
      const isStored = await this.ingest().flush();
      if (channel !== this.channel) return;
      if (isStored) {
        this.stored += count;
        this.confirm(channel, count);
      } else {
        this.passAgain(this.stored);
        if (!this.isClosing) await wait(AGAIN_MS);
      }
    }
  }

  /** Lets more come in, unless the last commit is long past or much is waiting. */
  private async gather(): Promise<void> {
    const restMs = this.begunMs + GATHER_MS - performance.now();
    if (restMs > 0 && this.passed - this.stored < PREFETCH / 2) await wait(restMs);
    this.begunMs = performance.now();
  }

  /** Hands on to the ingest what it has not got yet. */
  private pass(): void {
    const ingest = this.ingest();
    for (; this.passed < this.taken.length; this.passed++) {
      const { fields, content } = this.taken[this.passed];
      ingest.accept(topicOfKey(fields.routingKey), content, false);
    }
  }

  /** Hands on again, in their order, all that were taken after so many. */
  private passAgain(after: number): void {
    this.ingest().forget();
    [this.stored, this.passed] = [after, after];
  }

  /** Confirms the oldest `count` to the queue once the broker has the acknowledgements; the next are stored meanwhile. */
  private confirm(channel: Channel, count: number): void {
    const { connections } = this;
    this.confirming = Promise.all([this.acknowledged(), this.confirming])
      .then(() => {
        if (channel !== this.channel) return;
        const [last] = this.taken.splice(0, count).slice(-1);
        this.stored -= count;
        this.passed -= count;
        channel.ack(last, true);
      })
      .catch((error: Error) => this.fail(error, connections));
  }

  /** Waits until the broker has what was sent, unless it takes nothing. @throws Error if it says nothing */
  private async acknowledged(): Promise<void> {
    if (!this.sending || this.isBlocked) return;
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<'late'>((resolve) => {
      timer = setTimeout(() => resolve('late'), CONFIRM_MS);
    });
    const outcome = await Promise.race([this.sending.waitForConfirms(), late]);
    clearTimeout(timer);
    if (outcome === 'late' && !this.isBlocked) throw new Error('it confirms nothing that is sent to it');
  }
}

/**
 * Takes records from the queue of a site, and goes on doing so whatever happens to the broker. `ingest` is a function,
 * because the ingest publishes through this very worker.
 */
export function startWorker(ingest: () => Ingest, options: WorkerOptions): Worker {
  return new QueueWorker(ingest, options);
}
