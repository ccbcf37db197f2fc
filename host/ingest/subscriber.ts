// The thin layer between a broker and the ingest: the `mqtt` package, one timer for the group commit, and
// patience between attempts to connect.
//
// Why a record's PUBACK is not held back until the commit: the package hands packets over one at a time, so a
// held PUBACK means one commit per message (measured: 2,831/s against 20,405/s) unless private methods are
// used. It is not needed either: a controller keeps every record until it gets *our* acknowledgement, which
// is published only after the commit, so an early PUBACK can lose nothing.
import { randomBytes } from 'node:crypto';
import mqtt, { type MqttClient } from 'mqtt';
import { addressOf, topicOf, upTopics } from '../../firmware/contract/topics';
import { withoutPassword } from '../broker/address';
import type { Login } from '../broker/logins';
import { HOST_CLIENT } from '../broker/parties';
import { guarded } from '../guarded';
import { retryMs } from '../network/retry';
import type { Publish } from './answers';
import type { Ingest } from './ingest';

export interface SubscriberOptions {
  /** mqtt://host:port */
  url: string;
  site: string;
  /** User and password; without them as the URL says. */
  login?: Login;
  /** True if others take the records from the broker. */
  leavesRecords?: boolean;
  onProblem?: (sentence: string) => void;
  /** What the broker says, retained, once it has lost this connection. */
  will?: { topic: string; text: string };
  /** One more topic to listen to, whose messages are not for the ingest. */
  other?: { topic: string; take(text: string): void };
  /** Called on every successful connection. */
  onConnect?: () => void;
}

export interface Subscriber {
  publish: Publish;
  /** Publishes a retained message with QoS 1. Resolves once the broker has it; rejects without a connection. */
  retain(topic: string, text: string): Promise<unknown>;
  isConnected(): boolean;
  /** Commits what waits and disconnects from the broker. */
  close(): Promise<void>;
}

/**
 * Group commit: longest wait of a record for its commit, ms, and the number of records that triggers one at
 * once.
 */
const COMMIT_MS = 10;
const COMMIT_COUNT = 1000;
/** As many may wait before the broker has to wait as well: below what the ingest has room for. */
const FULL_COUNT = 2 * COMMIT_COUNT;
/** Packets that leave together at most. */
const GATHERED = 256;
/** Wait between attempts. */
const RETRY = { leastMs: 500, mostMs: 30_000 };
/** A connection that lasted this long, ms, was a good one: the next wait is short again. */
const STEADY_MS = 30000;

/** Keeps `options.reconnectPeriod`, which the package reads after every loss, at the next wait. */
function patience(client: MqttClient): void {
  let failures = 0;
  let steady: NodeJS.Timeout | undefined;
  client.on('connect', () => {
    steady = setTimeout(() => {
      failures = 0;
      client.options.reconnectPeriod = retryMs(failures, RETRY);
    }, STEADY_MS);
    steady.unref();
  });
  client.on('close', () => {
    clearTimeout(steady);
    failures = Math.min(failures + 1, 8);
    client.options.reconnectPeriod = retryMs(failures, RETRY);
  });
}

function connect(options: SubscriberOptions): MqttClient {
  return mqtt.connect(options.url, {
    protocolVersion: 4,
    // Nothing must wait for us in the broker: controllers resend what was not acknowledged.
    clean: true,
    clientId: `${HOST_CLIENT}-${randomBytes(4).toString('hex')}`,
    ...(options.login && { username: options.login.user, password: options.login.password }),
    ...(options.will && {
      will: { topic: options.will.topic, payload: options.will.text, qos: 1, retain: true },
    }),
    keepalive: 30,
    reconnectPeriod: retryMs(0, RETRY),
    connectTimeout: 10000,
    // Subscribed explicitly on every connect, because a broker may have forgotten us.
    resubscribe: false,
    queueQoSZero: false,
    // For each packet the package would write a line that nobody reads, and set a timer anew; together a third of its
    // work. A ping every 30 s costs less.
    log: () => {},
    reschedulePings: false,
  });
}

function tellTroubles(client: MqttClient, options: SubscriberOptions): void {
  let told = false;
  const tell = (why: string): void => {
    const url = withoutPassword(options.url);
    if (!told) options.onProblem?.(`No connection to the MQTT broker ${url} (${why}); still trying.`);
    told = true;
  };
  client.on('error', (error) => tell(error.message || String((error as { code?: string }).code)));
  client.on('offline', () => tell('no answer'));
  client.on('connect', () => {
    told = false;
    const { other, site, leavesRecords } = options;
    const topics = upTopics(site);
    if (leavesRecords) delete topics[topicOf(addressOf(site, '+'), 'record')];
    client.subscribe({ ...topics, ...(other && { [other.topic]: { qos: 1 } }) }, (error) => {
      if (error && client.connected) tell(`it refuses our topics: ${error.message}`);
    });
    options.onConnect?.();
  });
}

/**
 * Lets what is written in one turn of the event loop leave together: one system call instead of one for each packet. Of
 * a flood a turn may take in thousands; then those who sent them hear of it in between. @returns what to call before
 * something is written
 */
function gatherWrites(client: MqttClient): () => void {
  let gathering: MqttClient['stream'] | undefined;
  let count = 0;
  const release = (): void => {
    gathering?.uncork();
    gathering = undefined;
  };
  const gather = (): void => {
    if (gathering) {
      if (++count % GATHERED !== 0) return;
      gathering.uncork();
    } else setImmediate(release);
    gathering = client.stream;
    gathering.cork();
  };
  client.on('packetreceive', gather);
  return gather;
}

/**
 * Connects an ingest to a broker and keeps it connected. `ingest` is a function, because the ingest publishes
 * through this very subscriber.
 */
export function startSubscriber(ingest: () => Ingest, options: SubscriberOptions): Subscriber {
  const client = connect(options);
  let commit: NodeJS.Timeout | undefined;
  const flush = async (): Promise<void> => {
    clearTimeout(commit);
    commit = undefined;
    await ingest().flush();
  };
  const gather = gatherWrites(client);
  patience(client);
  tellTroubles(client, options);
  const take = guarded(
    (topic: string, payload: Buffer, isRetained: boolean) => ingest().accept(topic, payload, isRetained),
    (sentence) => options.onProblem?.(sentence),
  );
  client.on('message', (topic, payload, packet) => {
    if (topic === options.other?.topic) {
      options.other.take(payload.toString());
      return;
    }
    take(topic, payload, packet.retain);
    const waiting = ingest().waiting();
    if (waiting >= COMMIT_COUNT) void flush();
    else if (waiting > 0) commit ??= setTimeout(() => void flush(), COMMIT_MS);
  });
  // The package reads no further until the callback: the broker then waits, and after it those who publish. A commit
  // always ends, in success or not, so the connection is held up no longer than the disk takes for one.
  client.handleMessage = (_packet, onTaken) => {
    if (ingest().waiting() < FULL_COUNT) onTaken();
    else void flush().then(() => onTaken());
  };
  return {
    isConnected: () => client.connected,
    publish(topic, payload, { qos, retain = false }) {
      // The package would keep messages in memory and send them late; a late order is worse than none.
      if (!client.connected) return false;
      gather();
      client.publish(topic, payload, { qos, retain });
      return true;
    },
    async retain(topic, text) {
      if (!client.connected) throw new Error('there is no connection to the broker');
      return client.publishAsync(topic, text, { qos: 1, retain: true });
    },
    async close() {
      await flush();
      await client.endAsync(true);
    },
  };
}
