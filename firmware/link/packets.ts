// MQTT 3.1.1 packets as binary strings, one character per byte: OASIS standard of 29 October 2014. Encoders
// return the whole packet. The decoder fills in one `Packet` that its owner reuses, so an inbound packet
// costs only the two strings it carries.
import { word, wordAt } from '../contract/bytes';
import { Limit } from '../contract/limits';

/** Control packet types a client may receive (2.2.1). */
export const enum Kind {
  None = 0,
  Connack = 2,
  Publish = 3,
  Puback = 4,
  Suback = 9,
  Pingresp = 13,
}

/** Longest packet without a payload, and longest topic, that a broker sends to a controller. */
const KEPT_BYTES = 128;

/** Subscription refused (3.9.3). */
export const SUBSCRIPTION_REFUSED = 0x80;

export const PINGREQ = '\xc0\x00';
export const DISCONNECT = '\xe0\x00';

/** What a client declares when it connects. All texts are UTF-8 bytes of at most 65,535 characters. */
export interface ConnectFields {
  clientId: string;
  /** Empty or missing: the client id where there is a password, otherwise no user name. */
  user?: string | undefined;
  /** Empty: no password. */
  password: string;
  /** Keep alive, s, 0 (none) to 65,535. */
  keepAliveSec: number;
  /** Last will, QoS 1 and retained; empty: no will. */
  willTopic: string;
  willPayload: string;
}

/** The last packet decoded; fields that its kind does not have keep their old values. */
export interface Packet {
  kind: Kind;
  /** Packet identifier of PUBACK, SUBACK and PUBLISH; 0 for QoS 0. */
  id: number;
  /** CONNACK return code; for a SUBACK, SUBSCRIPTION_REFUSED when any topic was refused, else 0. */
  code: number;
  /** Number of topics a SUBACK answers. */
  count: number;
  qos: number;
  /** 1: stored by the broker before this client subscribed. */
  retained: number;
  topic: string;
  payload: string;
  /** Bytes still missing from the `payload` of a PUBLISH whose head has arrived; else 0. */
  missing: number;
}

/** An empty record for `decode`. */
export function newPacket(): Packet {
  return {
    kind: Kind.None,
    id: 0,
    code: 0,
    count: 0,
    qos: 0,
    retained: 0,
    topic: '',
    payload: '',
    missing: 0,
  };
}

/** Remaining length of 0 to 268,435,455 bytes in its shortest form (2.2.3). */
export function encodeLength(bytes: number): string {
  let out = '';
  let left = bytes;
  while (left > 127) {
    out += String.fromCharCode((left & 127) | 128);
    left = left >> 7;
  }
  return out + String.fromCharCode(left);
}

/** Remaining length that starts at `at`: its value, -1 when bytes are missing, -2 beyond four bytes. */
export function decodeLength(bytes: string, at: number): number {
  let value = 0;
  for (let i = 0; i < 4; i++) {
    if (at + i >= bytes.length) return -1;
    const b = bytes.charCodeAt(at + i);
    value += (b & 127) << (7 * i);
    if (b < 128) return value;
  }
  return -2;
}

function lengthEnd(bytes: string, at: number): number {
  let i = at;
  while (bytes.charCodeAt(i) > 127) i++;
  return i + 1;
}

function field(text: string): string {
  return word(text.length) + text;
}

function framed(first: number, body: string): string {
  return String.fromCharCode(first) + encodeLength(body.length) + body;
}

/** CONNECT, always with a clean session (3.1). */
export function encodeConnect(fields: ConnectFields): string {
  let flags = 0x02;
  let texts = field(fields.clientId);
  if (fields.willTopic !== '') {
    flags |= 0x2c; // will, QoS 1, retained
    texts += field(fields.willTopic) + field(fields.willPayload);
  }
  const user = fields.user || (fields.password === '' ? '' : fields.clientId);
  if (user !== '') {
    flags |= 0x80;
    texts += field(user);
    if (fields.password !== '') {
      flags |= 0x40;
      texts += field(fields.password);
    }
  }
  return framed(0x10, '\x00\x04MQTT\x04' + String.fromCharCode(flags) + word(fields.keepAliveSec) + texts);
}

/** PUBLISH (3.3); `id` 1 to 65,535 with QoS 1 and not sent with QoS 0. `dup` only when sent before. */
export function encodePublish(
  topic: string,
  payload: string,
  qos: number,
  retain: number,
  dup: number,
  id: number,
): string {
  const first = 0x30 | (dup ? 8 : 0) | (qos ? 2 : 0) | (retain ? 1 : 0);
  const head = field(topic) + (qos ? word(id) : '');
  let packet = String.fromCharCode(first) + encodeLength(head.length + payload.length) + head;
  // Extended in place: a record may be long, and a board has no room for a second copy.
  packet += payload;
  return packet;
}

/** SUBSCRIBE to at least one topic, all with QoS 1 (3.8). */
export function encodeSubscribe(id: number, topics: string[]): string {
  let body = word(id);
  for (let i = 0; i < topics.length; i++) body += field(topics[i]) + '\x01';
  return framed(0x82, body);
}

/** PUBACK for an inbound PUBLISH with QoS 1 (3.4). */
export function encodePuback(id: number): string {
  return '\x40\x02' + word(id);
}

/** CONNACK: two bytes, the first of which may only say "session present" (3.2.2). */
function decodeConnack(bytes: string, from: number, to: number, packet: Packet): boolean {
  if (to - from !== 2 || bytes.charCodeAt(from) > 1) return false;
  packet.code = bytes.charCodeAt(from + 1);
  return true;
}

/** PUBLISH: QoS 2 is never requested, so a broker that sends it is in error. */
function decodePublish(bytes: string, from: number, to: number, flags: number, packet: Packet): boolean {
  const qos = (flags >> 1) & 3;
  if (qos > 1 || to - from < 2) return false;
  const topicEnd = from + 2 + wordAt(bytes, from);
  const payloadFrom = topicEnd + 2 * qos;
  if (topicEnd === from + 2 || payloadFrom > to) return false;
  const id = qos === 1 ? wordAt(bytes, topicEnd) : 0;
  if (qos === 1 && id === 0) return false;
  packet.qos = qos;
  packet.retained = flags & 1;
  packet.id = id;
  packet.topic = bytes.substring(from + 2, topicEnd);
  packet.payload = bytes.substring(payloadFrom, to);
  return true;
}

function decodePuback(bytes: string, from: number, to: number, packet: Packet): boolean {
  if (to - from !== 2) return false;
  packet.id = wordAt(bytes, from);
  return true;
}

/** SUBACK: a granted QoS of 0 to 2 per topic, or a refusal. */
function decodeSuback(bytes: string, from: number, to: number, packet: Packet): boolean {
  if (to - from < 3) return false;
  packet.id = wordAt(bytes, from);
  packet.count = to - from - 2;
  packet.code = 0;
  for (let i = from + 2; i < to; i++) {
    const code = bytes.charCodeAt(i);
    if (code > 2 && code !== SUBSCRIPTION_REFUSED) return false;
    if (code === SUBSCRIPTION_REFUSED) packet.code = SUBSCRIPTION_REFUSED;
  }
  return true;
}

function decodeBody(bytes: string, from: number, to: number, first: number, packet: Packet): boolean {
  packet.kind = first >> 4;
  if (packet.kind === Kind.Publish) return decodePublish(bytes, from, to, first & 15, packet);
  if ((first & 15) !== 0) return false;
  switch (packet.kind) {
    case Kind.Connack:
      return decodeConnack(bytes, from, to, packet);
    case Kind.Puback:
      return decodePuback(bytes, from, to, packet);
    case Kind.Suback:
      return decodeSuback(bytes, from, to, packet);
    case Kind.Pingresp:
      return from === to;
    default:
      return false;
  }
}

/** Whether a PUBLISH has arrived except for its payload; the body begins at `from`. */
function hasHead(bytes: string, from: number, first: number): boolean {
  const idBytes = first & 6;
  return (
    first >> 4 === Kind.Publish &&
    bytes.length >= from + 2 &&
    bytes.length >= from + 2 + wordAt(bytes, from) + idBytes
  );
}

/**
 * Decodes the packet at the start of `bytes` into `packet`. A PUBLISH is decoded as soon as its head is
 * there: that uses up all of `bytes`, and `packet.missing` bytes must be appended to its payload. So a long
 * payload is assembled only once, not cut out of a packet assembled before.
 * @returns its size in bytes; 0 when bytes are missing; -1 when it is malformed, longer than
 * Limit.PacketBytes or of a kind that no broker may send to this client.
 */
export function decode(bytes: string, packet: Packet): number {
  const length = decodeLength(bytes, 1);
  if (length === -1) return 0;
  if (length < 0) return -1;
  const from = lengthEnd(bytes, 1);
  const to = from + length;
  if (to > Limit.PacketBytes) return -1;
  const first = bytes.charCodeAt(0);
  // What is kept until it is whole must be short.
  if (length > KEPT_BYTES && first >> 4 !== Kind.Publish) return -1;
  if (first >> 4 === Kind.Publish && bytes.length >= from + 2 && wordAt(bytes, from) > KEPT_BYTES) return -1;
  const isWhole = to <= bytes.length;
  if (!isWhole && !hasHead(bytes, from, first)) return 0;
  if (!decodeBody(bytes, from, to, first, packet)) return -1;
  if (isWhole) return to;
  packet.missing = to - bytes.length;
  return 0;
}
