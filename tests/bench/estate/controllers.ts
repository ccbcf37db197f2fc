// Controllers as unkind as real ones: each keeps its records until it is told in a signed message that they are stored, and
// sends all of them again when it has waited for too long or the broker was lost. Each has an MQTT connection of its own,
// since RabbitMQ remembers no more than 12 rights of one: on a shared one it would look up those of every message anew.
import mqtt, { type MqttClient } from 'mqtt';
import { hasValidSignature } from '../../../firmware/contract/signature';
import { topicOf } from '../../../firmware/contract/topics';
import { type Journal, KEYS, newJournal } from '../../host/logbook/records';
import { resultOfEight } from '../records';

/** Records on their way at most, on whichever way. */
export const IN_FLIGHT = 1000;
const AGAIN_MS = 3000;
const LOOK_MS = 50;

interface Controller {
  address: string;
  client: MqttClient;
  journal: Journal;
  /** Not acknowledged, oldest first. */
  kept: { seq: number; body: string }[];
  /** Newest record that was sent since the connection was made. */
  sent: number;
  sentAt: number;
  /** Made, and not sent yet. */
  ready: { seq: number; body: string }[];
}

export class Controllers {
  acknowledged = 0;
  made = 0;
  /** Messages sent, with those sent again. */
  published = 0;
  private readonly all: Controller[];
  /** Records of one controller on their way at most. */
  private readonly window: number;
  private readonly timer: NodeJS.Timeout;

  constructor(nodes: readonly string[], addresses: readonly string[], clientId = 'bench-controller') {
    const servers = nodes.map((url) => {
      const { hostname: host, port } = new URL(url);
      return { host, port: Number(port), protocol: 'mqtt' as const };
    });
    this.all = addresses.map((address, i) => ({
      ...{ address, journal: newJournal(address), ready: [], kept: [], sent: 0, sentAt: 0 },
      client: mqtt.connect({
        ...{ servers, username: 'guest', password: 'guest', protocolVersion: 4, clean: true },
        ...{ reconnectPeriod: 500, connectTimeout: 5000, keepalive: 5, queueQoSZero: false },
        ...{ resubscribe: false, clientId: `${clientId}-${i + 1}` },
      }),
    }));
    this.window = Math.ceil(IN_FLIGHT / addresses.length);
    for (const one of this.all) {
      const { client, address } = one;
      client.on('error', () => {});
      client.on('connect', () => {
        one.sent = 0;
        client.subscribe(topicOf(address, 'ack'), { qos: 1 });
      });
      client.on('message', (_topic, payload) => this.hear(one, payload.toString('latin1')));
    }
    this.timer = setInterval(() => this.look(), LOOK_MS);
  }

  /** Has each controller make so many more records, which `send` begins to send. */
  make(count: number): void {
    for (const { ready, journal } of this.all) {
      for (let n = 0; n < count; n++) {
        const { seq, body } = resultOfEight(journal);
        ready.push({ seq, body });
      }
    }
    this.made += count * this.all.length;
  }

  /** Records that are not acknowledged yet, with those still to be sent. */
  left(): number {
    return this.made - this.acknowledged;
  }

  end(): Promise<unknown> {
    clearInterval(this.timer);
    return Promise.all(this.all.map(({ client }) => client.endAsync(true)));
  }

  private hear(one: Controller, text: string): void {
    const { address } = one;
    if (!hasValidSignature(KEYS.keyOf(address), 'ack', address, text)) return;
    const { through } = JSON.parse(text) as { through: number };
    while (one.kept.length > 0 && one.kept[0].seq <= through) {
      one.kept.shift();
      this.acknowledged++;
    }
    this.send(one);
  }

  look(): void {
    const now = performance.now();
    for (const one of this.all) {
      if (one.kept.length > 0 && now - one.sentAt > AGAIN_MS) one.sent = 0;
      this.send(one);
    }
  }

  private send(one: Controller): void {
    if (!one.client.connected) return;
    one.kept.push(...one.ready.splice(0, this.window - one.kept.length));
    for (const { seq, body } of one.kept) {
      if (seq <= one.sent) continue;
      one.client.publish(topicOf(one.address, 'record'), body, { qos: 1 }, () => {});
      one.sent = seq;
      one.sentAt = performance.now();
      this.published++;
    }
  }
}
