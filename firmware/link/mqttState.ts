// State of an MQTT client. One record of fixed shape: a simulator process may hold thousands, and a board has
// a few kilobytes.
import type { NetPort } from '../ports';
import { type ConnectFields, newPacket, type Packet } from './packets';

export const enum LinkState {
  /** No connection; the next attempt is due at `wakeAt`. */
  Waiting = 0,
  /** TCP requested. */
  Dialling = 1,
  /** CONNECT sent. */
  Connecting = 2,
  /** Accepted, SUBSCRIBE sent. */
  Subscribing = 3,
  Online = 4,
  /** Closed by `mqttClose`, for good. */
  Stopped = 5,
}

/** Timeouts of the client, ms. Common practice, no source. */
export const enum Patience {
  /** Longest wait for TCP, CONNACK, SUBACK and PINGRESP, each. */
  AnswerMs = 10000,
  /** Longest wait for a PUBACK. */
  PubackMs = 20000,
  /** First and longest wait between two attempts, before jitter. */
  BackOffMinMs = 1000,
  BackOffMaxMs = 120000,
  /**
   * A connection shorter than this counts as a recurring fault, such as a second device with the same client
   * id: the broker then closes the older connection (3.1.4).
   */
  YoungMs = 30000,
  /** Share of the keep alive that may pass in silence before a PINGREQ, %. */
  QuietPercent = 75,
}

export interface MqttOptions extends ConnectFields {
  /** Subscribed with QoS 1 on every connection; may be empty. */
  topics: string[];
  /** 0 to 1, fixed per device: spreads the attempts of many devices over time. */
  jitter: number;
}

export interface MqttEvents {
  /** Accepted and, where there are topics, subscribed. */
  online(): void;
  offline(): void;
  /** Whether a message of this length is wanted; the payload of any other is dropped as it arrives. */
  accepts(topic: string, bytes: number): boolean;
  /** May come before `online`: a broker may send retained messages before its SUBACK (3.8.4). */
  message(topic: string, payload: string, retained: number): void;
  /** The broker holds the QoS 1 message `id`; this does not prove that the log book does. */
  published(id: number): void;
}

export interface Mqtt {
  options: MqttOptions;
  net: NetPort;
  events: MqttEvents;
  state: LinkState;
  /** When the next tick is needed, monotonic ms. */
  wakeAt: number;
  /** Next wait before jitter, ms. */
  backOffMs: number;
  onlineSince: number;
  sentAt: number;
  heardAt: number;
  /** Deadline of the PINGRESP, 0 when none is awaited. */
  pingBy: number;
  lastId: number;
  subscribeId: number;
  /** Publishes not yet acknowledged and their deadlines; 0 is a free entry. */
  ids: number[];
  idsBy: number[];
  /** Start of a packet that has not fully arrived, shorter than Limit.PacketBytes. */
  inbound: string;
  /** 1: the payload that is arriving is not wanted. */
  isUnwanted: number;
  /** 1: a packet was taken from `inbound` and the rest has not been looked at yet. */
  hasMore: number;
  packet: Packet;
  /** Last refusal: CONNACK code (1 to 5), or 0x80 for a topic. Stays until the application clears it. */
  refused: number;
  /** Consecutive connections that went online and soon dropped; 2 or more suggest a duplicate client id. */
  diedYoung: number;
}

/** An idle client; the first attempt is due `jitter` seconds after monotonic 0. */
export function newMqtt(options: MqttOptions, net: NetPort, events: MqttEvents): Mqtt {
  return {
    options: options,
    net: net,
    events: events,
    state: LinkState.Waiting,
    wakeAt: Math.floor(Patience.BackOffMinMs * options.jitter),
    backOffMs: Patience.BackOffMinMs,
    onlineSince: 0,
    sentAt: 0,
    heardAt: 0,
    pingBy: 0,
    lastId: 0,
    subscribeId: 0,
    ids: [0, 0, 0, 0],
    idsBy: [0, 0, 0, 0],
    inbound: '',
    isUnwanted: 0,
    hasMore: 0,
    packet: newPacket(),
    refused: 0,
    diedYoung: 0,
  };
}
