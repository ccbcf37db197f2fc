// A network and broker inside the simulation: real MQTT bytes both ways, one queue of deliveries, no
// sockets and no real time. The controllers' own client talks to it as it would to any broker.
import mqttPacket, { type Packet, type Parser } from 'mqtt-packet';
import { copiesOf, heldMs, type Impairments, isCut, stopMs, straggleMs } from './impairments';
import { isIn } from './plant/spans';
import { LATENCY_MS, type PublishSink, type SimulatedNet, type WireHandlers } from './wire';

interface Delivery {
  at: number;
  bytes: string | null;
}

/** A message on its way from the broker to the host. */
interface Straggler {
  at: number;
  topic: string;
  payload: string;
}

function firstAt(queue: { at: number }[]): number {
  return queue.length > 0 ? queue[0].at : Number.POSITIVE_INFINITY;
}

/** The controller's end of the simulated wire, with the broker behind it. */
export class SimulatedWire implements SimulatedNet {
  private parser: Parser | null = null;
  private readonly queue: Delivery[] = [];
  private opening = 0;
  connected = false;
  /** As on a board whose interpreter waits while it connects. */
  readonly stops = 1;
  /** The connection has lost bytes and is dead, though neither end knows. */
  private isDead = false;
  /** False while the broker or the network is down. */
  reachable = true;
  subscriptions: string[] = [];
  impairments: Impairments | undefined;
  /** Bytes held up on their way to the broker, and messages delayed behind it. */
  private readonly rising: Delivery[] = [];
  private readonly stragglers: Straggler[] = [];

  constructor(
    private readonly clock: { now: number },
    private readonly sink: PublishSink,
  ) {}

  isReady(): boolean {
    return !this.impairments || !isIn(this.impairments.accessOff, this.clock.now);
  }

  stopMs(): number {
    return this.impairments ? stopMs(this.impairments, this.clock.now) : 0;
  }

  open(): void {
    this.dropQueue();
    this.opening = this.clock.now + LATENCY_MS + this.heldMs() + this.stopMs();
  }

  private isLost(): boolean {
    if (this.impairments && isCut(this.impairments, this.clock.now)) this.isDead = true;
    return this.isDead;
  }

  write(bytes: string): void {
    if (!this.connected || this.isLost()) return;
    const held = this.heldMs();
    if (held === 0 && this.rising.length === 0) this.parser?.parse(Buffer.from(bytes, 'latin1'));
    else
      this.rising.push({
        at: Math.max(this.clock.now + held, this.rising[this.rising.length - 1]?.at ?? 0),
        bytes,
      });
  }

  close(): void {
    this.connected = false;
    this.opening = 0;
    this.dropQueue();
  }

  /** The network or the broker goes down or comes back. @returns whether a connection was cut */
  setReachable(reachable: boolean): boolean {
    this.reachable = reachable;
    const cut = !reachable && this.connected;
    if (!reachable) this.close();
    return cut;
  }

  nextAt(): number {
    if (this.opening > 0) return Math.min(this.opening, firstAt(this.stragglers));
    const held = this.impairments
      ? Math.min(firstAt(this.rising), firstAt(this.stragglers))
      : Number.POSITIVE_INFINITY;
    return Math.min(held, firstAt(this.queue));
  }

  /** Hands over what is due. */
  deliver(on: WireHandlers): void {
    if (this.opening > 0 && this.opening <= this.clock.now) {
      this.opening = 0;
      this.isDead = false;
      if (!this.reachable || this.isLost()) {
        on.closed();
        return;
      }
      this.connected = true;
      this.parser = mqttPacket.parser({ protocolVersion: 4 });
      this.parser.on('packet', (packet: Packet) => this.serve(packet));
      on.opened();
    }
    if (this.impairments) this.deliverHeld();
    while (this.queue.length > 0 && this.queue[0].at <= this.clock.now) {
      const { bytes } = this.queue.shift() as Delivery;
      if (bytes !== null && this.connected) on.data(bytes);
    }
  }

  /** A message from the host to this controller; lost when it is not connected and subscribed. */
  publish(topic: string, payload: string): void {
    if (!this.connected || !this.subscriptions.includes(topic) || this.isLost()) return;
    const copies = this.impairments ? copiesOf(this.impairments, this.clock.now) : 1;
    for (let i = 0; i < copies; i++)
      this.send({ cmd: 'publish', topic, payload, qos: 0, dup: false, retain: false });
  }

  /** How much longer than usual the wire takes now, ms. */
  private heldMs(): number {
    return this.impairments ? heldMs(this.impairments, this.clock.now) : 0;
  }

  /** Hands the broker and the host the delayed traffic that is due. */
  private deliverHeld(): void {
    const now = this.clock.now;
    while (firstAt(this.rising) <= now)
      this.parser?.parse(Buffer.from((this.rising.shift() as Delivery).bytes as string, 'latin1'));
    while (firstAt(this.stragglers) <= now) {
      const { topic, payload } = this.stragglers.shift() as Straggler;
      this.sink(topic, payload);
    }
  }

  private dropQueue(): void {
    this.queue.length = 0;
    this.rising.length = 0;
    this.subscriptions = [];
  }

  private send(packet: Packet): void {
    const bytes = mqttPacket.generate(packet, { protocolVersion: 4 }).toString('latin1');
    this.queue.push({ at: this.clock.now + LATENCY_MS, bytes });
    if (!this.impairments) return;
    const straggle = packet.cmd === 'publish' ? straggleMs(this.impairments, this.clock.now) : 0;
    this.queue[this.queue.length - 1].at += this.heldMs() + straggle;
    this.queue.sort((a, b) => a.at - b.at);
  }

  private serve(packet: Packet): void {
    if (packet.cmd === 'connect') this.send({ cmd: 'connack', returnCode: 0, sessionPresent: false });
    else if (packet.cmd === 'subscribe') {
      this.subscriptions = packet.subscriptions.map((s) => s.topic);
      const granted = packet.subscriptions.map(() => 0 as const);
      this.send({ cmd: 'suback', messageId: packet.messageId as number, granted });
    } else if (packet.cmd === 'pingreq') this.send({ cmd: 'pingresp' });
    else if (packet.cmd === 'publish') {
      if (packet.qos > 0) this.send({ cmd: 'puback', messageId: packet.messageId as number });
      this.pass(packet.topic, packet.payload.toString());
    }
  }

  /** A message from the controller to the host, through the broker. */
  private pass(topic: string, payload: string): void {
    const { impairments } = this;
    if (!impairments) {
      this.sink(topic, payload);
      return;
    }
    const now = this.clock.now;
    for (let i = copiesOf(impairments, now); i > 0; i--)
      this.stragglers.push({ at: now + straggleMs(impairments, now), topic, payload });
    this.stragglers.sort((a, b) => a.at - b.at);
  }
}
