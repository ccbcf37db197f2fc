// A network and broker inside the simulation: real MQTT bytes both ways, one queue of deliveries, no
// sockets and no real time. The controllers' own client talks to it as it would to any broker.
import mqttPacket, { type Packet, type Parser } from 'mqtt-packet';
import type { NetPort } from '../firmware/ports';

/** One-way delay of the simulated network, ms. */
export const LATENCY_MS = 20;

interface Delivery {
  at: number;
  bytes: string | null;
}

/** What the hub hands to the host: one publish of a controller. */
export type PublishSink = (topic: string, payload: string) => void;

export interface WireHandlers {
  opened(): void;
  data(bytes: string): void;
  closed(): void;
}

/** A network port inside the simulation: its owner calls `deliver` when `nextAt` has come. */
export interface SimulatedNet extends NetPort {
  nextAt(): number;
  deliver(on: WireHandlers): void;
}

/** The controller's end of the simulated wire, with the broker behind it. */
export class SimulatedWire implements SimulatedNet {
  private parser: Parser | null = null;
  private readonly queue: Delivery[] = [];
  private opening = 0;
  connected = false;
  /** False while the broker or the network is down. */
  reachable = true;
  subscriptions: string[] = [];

  constructor(
    private readonly clock: { now: number },
    private readonly sink: PublishSink,
  ) {}

  open(): void {
    this.dropQueue();
    this.opening = this.clock.now + LATENCY_MS;
  }

  write(bytes: string): void {
    if (this.connected) this.parser?.parse(Buffer.from(bytes, 'latin1'));
  }

  close(): void {
    this.connected = false;
    this.opening = 0;
    this.dropQueue();
  }

  /** The network or the broker goes down or comes back. @returns whether a connection was cut. */
  setReachable(reachable: boolean): boolean {
    this.reachable = reachable;
    const cut = !reachable && this.connected;
    if (!reachable) this.close();
    return cut;
  }

  nextAt(): number {
    if (this.opening > 0) return this.opening;
    return this.queue.length > 0 ? this.queue[0].at : Number.POSITIVE_INFINITY;
  }

  /** Hands over what is due. */
  deliver(on: WireHandlers): void {
    if (this.opening > 0 && this.opening <= this.clock.now) {
      this.opening = 0;
      if (!this.reachable) {
        on.closed();
        return;
      }
      this.connected = true;
      this.parser = mqttPacket.parser({ protocolVersion: 4 });
      this.parser.on('packet', (packet: Packet) => this.serve(packet));
      on.opened();
    }
    while (this.queue.length > 0 && this.queue[0].at <= this.clock.now) {
      const { bytes } = this.queue.shift() as Delivery;
      if (bytes !== null && this.connected) on.data(bytes);
    }
  }

  /** A message from the host to this controller; lost when it is not connected and subscribed. */
  publish(topic: string, payload: string): void {
    if (!this.connected || !this.subscriptions.includes(topic)) return;
    this.send({ cmd: 'publish', topic, payload, qos: 0, dup: false, retain: false });
  }

  private dropQueue(): void {
    this.queue.length = 0;
    this.subscriptions = [];
  }

  private send(packet: Packet): void {
    const bytes = mqttPacket.generate(packet, { protocolVersion: 4 }).toString('latin1');
    this.queue.push({ at: this.clock.now + LATENCY_MS, bytes });
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
      this.sink(packet.topic, packet.payload.toString());
    }
  }
}
