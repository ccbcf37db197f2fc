// The simulated wire and broker again, for long runs: the same packets at the same instants, but read and
// made by the firmware's own encoders and without impairments. Mistakes that both ends might share are found
// by the runs on `SimulatedWire`, whose packets another implementation reads.
import { decode, encodePublish, Kind, newPacket } from '../firmware/link/packets';
import { LATENCY_MS, type PublishSink, type SimulatedNet, type WireHandlers } from './wire';

/** First bytes of the packets that only a broker receives (MQTT 3.1.1 clause 2.2). */
const CONNECT = 0x10;
const SUBSCRIBE = 0x82;
const PINGREQ = 0xc0;

const CONNACK = '\x20\x02\x00\x00';
const PINGRESP = '\xd0\x00';

const packet = newPacket();

/** Topics of a SUBSCRIBE: each preceded by two bytes of length and followed by its QoS. */
function topicsOf(bytes: string, from: number): string[] {
  const topics: string[] = [];
  for (let at = from; at < bytes.length; ) {
    const end = at + 2 + bytes.charCodeAt(at) * 256 + bytes.charCodeAt(at + 1);
    topics.push(bytes.substring(at + 2, end));
    at = end + 1;
  }
  return topics;
}

/** First byte after the remaining length. */
function bodyAt(bytes: string): number {
  let at = 1;
  while (bytes.charCodeAt(at) > 127) at++;
  return at + 1;
}

export class QuickWire implements SimulatedNet {
  private readonly dueAt: number[] = [];
  private readonly due: string[] = [];
  private opening = 0;
  connected = false;
  readonly stops = 1;
  subscriptions: string[] = [];

  constructor(
    private readonly clock: { now: number },
    private readonly sink: PublishSink,
  ) {}

  isReady(): boolean {
    return true;
  }

  stopMs(): number {
    return 0;
  }

  open(): void {
    this.dropQueue();
    this.opening = this.clock.now + LATENCY_MS;
  }

  close(): void {
    this.connected = false;
    this.opening = 0;
    this.dropQueue();
  }

  private dropQueue(): void {
    this.due.length = 0;
    this.dueAt.length = 0;
    this.subscriptions = [];
  }

  nextAt(): number {
    if (this.opening > 0) return this.opening;
    return this.dueAt.length > 0 ? this.dueAt[0] : Number.POSITIVE_INFINITY;
  }

  deliver(on: WireHandlers): void {
    if (this.opening > 0 && this.opening <= this.clock.now) {
      this.opening = 0;
      this.connected = true;
      on.opened();
    }
    while (this.dueAt.length > 0 && this.dueAt[0] <= this.clock.now) {
      this.dueAt.shift();
      on.data(this.due.shift() as string);
    }
  }

  /** One packet of the controller, which writes whole packets. */
  write(bytes: string): void {
    if (!this.connected) return;
    const first = bytes.charCodeAt(0);
    if (first >> 4 === Kind.Publish) this.take(bytes);
    else if (first === CONNECT) this.send(CONNACK);
    else if (first === PINGREQ) this.send(PINGRESP);
    else if (first === SUBSCRIBE) {
      const body = bodyAt(bytes);
      this.subscriptions = topicsOf(bytes, body + 2);
      const granted = '\x01'.repeat(this.subscriptions.length);
      const id = bytes.substring(body, body + 2);
      this.send(`\x90${String.fromCharCode(2 + granted.length)}${id}${granted}`);
    }
  }

  private take(bytes: string): void {
    if (decode(bytes, packet) < 0) return;
    const { topic, payload } = packet;
    if (packet.qos > 0) this.send(`\x40\x02${String.fromCharCode(packet.id >> 8, packet.id & 255)}`);
    this.sink(topic, payload);
  }

  /** A message from the host to this controller; lost when it is not connected and subscribed. */
  publish(topic: string, payload: string): void {
    if (!this.connected || !this.subscriptions.includes(topic)) return;
    this.send(encodePublish(topic, payload, 0, 0, 0, 0));
  }

  private send(bytes: string): void {
    this.dueAt.push(this.clock.now + LATENCY_MS);
    this.due.push(bytes);
  }
}
