// Many controllers on one MQTT connection, as unkind as real ones: each keeps its records until it is told in a signed
// message that they are stored, and sends all of them again when it has waited for too long or the broker was lost.
import mqtt, { type MqttClient } from 'mqtt';
import { hasValidSignature } from '../../../firmware/contract/signature';
import { readTopic, topicOf } from '../../../firmware/contract/topics';
import { type Journal, KEYS, newJournal } from '../../host/logbook/records';
import { resultOfEight } from '../records';

/** Records of one controller on their way at most. */
const WINDOW = 40;
const AGAIN_MS = 3000;
const LOOK_MS = 50;

interface Controller {
  address: string;
  journal: Journal;
  /** Not acknowledged, oldest first. */
  kept: { seq: number; body: string }[];
  /** Newest record that was sent since the connection was made. */
  sent: number;
  sentAt: number;
  /** Newest record made, and how many are to be made. */
  made: number;
  goal: number;
}

export class Controllers {
  acknowledged = 0;
  /** Messages sent, with those sent again. */
  published = 0;
  private readonly all: Controller[];
  private readonly client: MqttClient;
  private readonly timer: NodeJS.Timeout;

  constructor(nodes: readonly string[], addresses: readonly string[]) {
    this.all = addresses.map((address) => ({
      ...{ address, journal: newJournal(address), kept: [], sent: 0, sentAt: 0, made: 0, goal: 0 },
    }));
    const servers = nodes.map((url) => {
      const { hostname: host, port } = new URL(url);
      return { host, port: Number(port), protocol: 'mqtt' as const };
    });
    this.client = mqtt.connect({
      ...{ servers, username: 'guest', password: 'guest', protocolVersion: 4, clean: true },
      ...{ reconnectPeriod: 500, connectTimeout: 5000, keepalive: 5, queueQoSZero: false },
      ...{ resubscribe: false, clientId: 'bench-controllers' },
    });
    this.client.on('error', () => {});
    this.client.on('connect', () => {
      for (const one of this.all) one.sent = 0;
      this.client.subscribe(
        addresses.map((address) => topicOf(address, 'ack')),
        { qos: 1 },
      );
    });
    this.client.on('message', (topic, payload) => this.hear(topic, payload.toString('latin1')));
    this.timer = setInterval(() => this.look(), LOOK_MS);
  }

  /** Has each controller make so many more records. */
  make(count: number): void {
    for (const one of this.all) one.goal += count;
  }

  /** Records that are not acknowledged yet, with those still to be made. */
  left(): number {
    return this.all.reduce((sum, { goal, made, kept }) => sum + goal - made + kept.length, 0);
  }

  made(): number {
    return this.all.reduce((sum, { made }) => sum + made, 0);
  }

  end(): Promise<void> {
    clearInterval(this.timer);
    return this.client.endAsync(true);
  }

  private hear(topic: string, text: string): void {
    const { address = '' } = readTopic(topic) ?? {};
    const one = this.all.find((controller) => controller.address === address);
    if (!one || !hasValidSignature(KEYS.keyOf(address), 'ack', address, text)) return;
    const { through } = JSON.parse(text) as { through: number };
    while (one.kept.length > 0 && one.kept[0].seq <= through) {
      one.kept.shift();
      this.acknowledged++;
    }
    this.send(one);
  }

  private look(): void {
    const now = performance.now();
    for (const one of this.all) {
      if (one.kept.length > 0 && now - one.sentAt > AGAIN_MS) one.sent = 0;
      this.send(one);
    }
  }

  private send(one: Controller): void {
    if (!this.client.connected) return;
    while (one.kept.length < WINDOW && one.made < one.goal) {
      const { seq, body } = resultOfEight(one.journal);
      one.made = seq;
      one.kept.push({ seq, body });
    }
    for (const { seq, body } of one.kept) {
      if (seq <= one.sent) continue;
      this.client.publish(topicOf(one.address, 'record'), body, { qos: 1 }, () => {});
      one.sent = seq;
      one.sentAt = performance.now();
      this.published++;
    }
  }
}
