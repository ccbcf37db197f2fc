// A Sparkplug node: connects to the broker of a plant, tells what the site is, and waits for its primary host where it has
// one. It takes no command but the one to tell everything again.
import mqtt, { type IPublishPacket, type MqttClient } from 'mqtt';
import { withoutPassword } from '../../broker/address';
import type { Memory } from '../../logbook/memory';
import { retryMs } from '../../network/retry';
import type { Site } from '../../site/model';
import { buildingStatus, type CircuitMessages } from '../status';
import type { StatusListener } from '../statusBoard';
import { trueMetrics } from './payload';
import { REBIRTH, Session } from './session';

export interface SparkplugPlace {
  /** mqtt://user@host:port */
  url: string;
  /** Of the user in the URL, if it has none there. */
  password?: string;
  group: string;
  /** Host application without which nothing is told. */
  primary?: string;
}

export interface SparkplugOptions {
  site: Site;
  simulated: boolean;
  place: SparkplugPlace;
  memory: Memory;
  /** UTC second. */
  now(): number;
  onProblem(sentence: string): void;
}

export interface Sparkplug extends Required<Pick<StatusListener, 'take' | 'all'>> {
  close(): Promise<void>;
}

const BD_SEQ = 'sparkplugBdSeq';
const BD_SEQ_COUNT = 256;
/** Wait between two connections. */
const RETRY = { leastMs: 1000, mostMs: 60_000 };
/** Least time between two births in one connection, ms. */
const REBIRTH_MS = 1000;
/** Longest wait for the broker to take the death message, ms. */
const LAST_WORD_MS = 1000;

/** `online` and `timestamp` of a state message; undefined if it is none. */
function stateOf(text: string): { online: boolean; timestamp: number } | undefined {
  try {
    const { online, timestamp } = JSON.parse(text);
    return typeof online === 'boolean' && Number.isFinite(timestamp) ? { online, timestamp } : undefined;
  } catch {
    return undefined;
  }
}

class Node implements Sparkplug {
  private readonly session: Session;
  private client: MqttClient | undefined;
  private timer: NodeJS.Timeout | undefined;
  private rebirth: NodeJS.Timeout | undefined;
  private failures = 0;
  private bdSeq = 0;
  private isBorn = false;
  private isStopped = false;
  private isTold = false;
  /** Of the newest state of the primary host that counts. */
  private stateAt = Number.NEGATIVE_INFINITY;

  constructor(private readonly o: SparkplugOptions) {
    const { site, place } = o;
    this.session = new Session({
      ...{ site, group: place.group, nowMs: () => o.now() * 1000 },
      send: (topic, payload) => void this.client?.publish(topic, payload, { qos: 0, retain: false }),
    });
    this.connect();
  }

  take(messages: CircuitMessages): void {
    this.session.take(messages);
  }

  all(messages: CircuitMessages[]): void {
    this.session.all(buildingStatus(this.o.site, this.o.simulated, messages));
  }

  async close(): Promise<void> {
    this.isStopped = true;
    clearTimeout(this.timer);
    await this.leave();
  }

  /** The number of the next connection: one more than that of the one before, over restarts too. */
  private nextBdSeq(): number {
    const { memory } = this.o;
    const last = memory.recall(BD_SEQ);
    const next = last === '' ? 0 : (Number(last) + 1) % BD_SEQ_COUNT;
    memory.remember(BD_SEQ, String(next));
    return next;
  }

  private get stateTopic(): string {
    return `spBv1.0/STATE/${this.o.place.primary}`;
  }

  private connect(): void {
    const { place, site } = this.o;
    this.bdSeq = this.nextBdSeq();
    const { topic, payload } = this.session.death(this.bdSeq);
    const client = mqtt.connect(place.url, {
      ...{ protocolVersion: 4, clean: true, clientId: `nightproof-${place.group}-${site.id}`, keepalive: 30 },
      // Every connection has a death message of its own, so each is made anew.
      ...{ reconnectPeriod: 0, connectTimeout: 10_000, queueQoSZero: false },
      ...(place.password !== undefined && { password: place.password }),
      will: { topic, payload, qos: 1, retain: false },
    });
    this.client = client;
    client.on('connect', () => void this.listen(client));
    client.on('message', (on, bytes, packet) => this.hear(on, bytes, packet));
    client.on('error', (error) => this.complain(error.message || 'no answer'));
    client.on('close', () => this.lost(client));
  }

  private async listen(client: MqttClient): Promise<void> {
    const topics = [
      this.session.topic('NCMD'),
      ...(this.o.place.primary === undefined ? [] : [this.stateTopic]),
    ];
    try {
      const granted = await client.subscribeAsync(topics, { qos: 1 });
      if (granted.some(({ qos }) => qos > 2)) throw new Error('it refuses our topics');
    } catch (error) {
      this.complain((error as Error).message);
      client.end(true);
      return;
    }
    this.failures = 0;
    this.isTold = false;
    if (this.o.place.primary === undefined) this.bear();
  }

  private bear(): void {
    this.isBorn = true;
    this.session.birth(this.bdSeq);
  }

  private hear(topic: string, bytes: Buffer, { retain }: IPublishPacket): void {
    if (topic === this.session.topic('NCMD')) {
      // A retained command is of some other time.
      if (this.isBorn && !retain && trueMetrics(bytes).includes(REBIRTH)) this.bearAgain();
      return;
    }
    const state = topic === this.stateTopic ? stateOf(bytes.toString()) : undefined;
    if (!state || state.timestamp < this.stateAt) return;
    this.stateAt = state.timestamp;
    if (state.online && !this.isBorn) this.bear();
    else if (!state.online && this.isBorn) void this.leave();
  }

  /** Asked often, it answers once a second. */
  private bearAgain(): void {
    if (this.rebirth) return;
    this.bear();
    this.rebirth = setTimeout(() => {
      this.rebirth = undefined;
    }, REBIRTH_MS);
  }

  /** Says that it goes, and goes. */
  private async leave(): Promise<void> {
    const { client } = this;
    if (!client) return;
    this.session.end();
    if (client.connected && this.isBorn) {
      const { topic, payload } = this.session.death(this.bdSeq);
      const late = new Promise((resolve) => setTimeout(resolve, LAST_WORD_MS).unref());
      await Promise.race([client.publishAsync(topic, payload, { qos: 1 }).catch(() => {}), late]);
    }
    this.isBorn = false;
    await client.endAsync(!client.connected).catch(() => {});
  }

  private lost(client: MqttClient): void {
    if (client !== this.client) return;
    client.removeAllListeners('message');
    client.end(true);
    this.client = undefined;
    this.session.end();
    this.isBorn = false;
    clearTimeout(this.rebirth);
    this.rebirth = undefined;
    if (this.isStopped) return;
    this.timer = setTimeout(() => this.connect(), retryMs(this.failures++, RETRY));
  }

  private complain(why: string): void {
    const { onProblem, place } = this.o;
    if (!this.isTold)
      onProblem(
        `No connection to the Sparkplug broker ${withoutPassword(place.url)} (${why}); still trying.`,
      );
    this.isTold = true;
  }
}

/** Connects and stays connected until it is closed. */
export function startSparkplug(o: SparkplugOptions): Sparkplug {
  return new Node(o);
}
