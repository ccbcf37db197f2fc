// MQTT 3.1.1 client over one TCP connection, the same on a board and in a simulator. It has no timer or clock
// of its own: its owner passes in monotonic ms and asks `mqttWakeAt` when to call again.
//
// Clean session and nothing stored: the journal is the store. After a lost connection the client forgets
// every packet identifier, and the application sends again, from its journal, what the log book has not
// acknowledged. Such a message is a new PUBLISH with a new identifier, so DUP is never set: MQTT 3.1.1 asks
// for it only when a stored session is resumed (4.4, 3.3.1.1).
import { Limit } from '../contract/limits';
import { LinkState, type Mqtt, Patience } from './mqttState';
import {
  DISCONNECT,
  decode,
  encodeConnect,
  encodePuback,
  encodePublish,
  encodeSubscribe,
  Kind,
  PINGREQ,
  SUBSCRIPTION_REFUSED,
} from './packets';

export { LinkState, type Mqtt, type MqttEvents, type MqttOptions, newMqtt } from './mqttState';

function connected(m: Mqtt): boolean {
  return m.state >= LinkState.Connecting && m.state <= LinkState.Online;
}

function forget(m: Mqtt): void {
  m.inbound = '';
  m.packet.payload = '';
  m.packet.missing = 0;
  m.packet.topic = '';
  m.isUnwanted = 0;
  m.hasMore = 0;
  m.pingBy = 0;
  for (let i = 0; i < m.ids.length; i++) m.ids[i] = 0;
}

function hangUp(m: Mqtt): void {
  try {
    m.net.close();
  } catch (_gone) {
    // If closing fails, the connection is already closed.
  }
}

/**
 * Drops the connection and schedules the next attempt. The state changes first: anything the port reports
 * about this connection afterwards is ignored.
 */
function leave(m: Mqtt, now: number, closing: boolean): void {
  if (m.state === LinkState.Waiting || m.state === LinkState.Stopped) return;
  const wasOnline = m.state === LinkState.Online;
  if (wasOnline && now - m.onlineSince >= Patience.YoungMs) {
    m.backOffMs = Patience.BackOffMinMs;
    m.diedYoung = 0;
  } else if (wasOnline) m.diedYoung++;
  m.state = LinkState.Waiting;
  m.wakeAt = now + m.backOffMs + Math.floor(m.backOffMs * m.options.jitter);
  m.backOffMs = Math.min(2 * m.backOffMs, Patience.BackOffMaxMs);
  forget(m);
  if (closing) hangUp(m);
  if (wasOnline) m.events.offline();
}

function send(m: Mqtt, bytes: string, now: number): void {
  m.sentAt = now;
  try {
    m.net.write(bytes);
  } catch (_broken) {
    leave(m, now, true);
  }
}

/** Silence in either direction calls for a PINGREQ: sending alone does not show that anyone receives. */
function pingAt(m: Mqtt): number {
  const quietMs = m.options.keepAliveSec * 10 * Patience.QuietPercent;
  return quietMs > 0 ? Math.min(m.sentAt, m.heardAt) + quietMs : Infinity;
}

/** Earliest deadline of an online link, monotonic ms. */
function deadline(m: Mqtt): number {
  let first = m.pingBy > 0 ? m.pingBy : Infinity;
  for (let i = 0; i < m.ids.length; i++) {
    if (m.ids[i] !== 0 && m.idsBy[i] < first) first = m.idsBy[i];
  }
  return first;
}

function arm(m: Mqtt): void {
  if (m.state !== LinkState.Online) return;
  m.wakeAt = m.pingBy > 0 ? deadline(m) : Math.min(deadline(m), pingAt(m));
}

function nextId(m: Mqtt): number {
  do {
    m.lastId = m.lastId >= 65535 ? 1 : m.lastId + 1;
  } while (m.ids.indexOf(m.lastId) >= 0);
  return m.lastId;
}

function goOnline(m: Mqtt, now: number): void {
  m.state = LinkState.Online;
  m.onlineSince = now;
  m.events.online();
}

function onConnack(m: Mqtt, now: number): void {
  if (m.packet.code !== 0) {
    m.refused = m.packet.code;
    leave(m, now, true);
  } else if (m.options.topics.length === 0) goOnline(m, now);
  else {
    m.state = LinkState.Subscribing;
    m.wakeAt = now + Patience.AnswerMs;
    m.subscribeId = nextId(m);
    send(m, encodeSubscribe(m.subscribeId, m.options.topics), now);
  }
}

function onSuback(m: Mqtt, now: number): void {
  const packet = m.packet;
  const expected =
    m.state === LinkState.Subscribing &&
    packet.id === m.subscribeId &&
    packet.count === m.options.topics.length;
  if (expected && packet.code === 0) {
    goOnline(m, now);
    return;
  }
  if (expected) m.refused = SUBSCRIPTION_REFUSED;
  leave(m, now, true);
}

function onPublish(m: Mqtt, now: number): void {
  const packet = m.packet;
  const id = packet.id;
  const topic = packet.topic;
  const payload = packet.payload;
  packet.topic = '';
  packet.payload = '';
  if (!m.isUnwanted) m.events.message(topic, payload, packet.retained);
  m.isUnwanted = 0;
  if (id > 0 && connected(m)) send(m, encodePuback(id), now);
}

function onPuback(m: Mqtt): void {
  const id = m.packet.id;
  const place = id > 0 ? m.ids.indexOf(id) : -1;
  if (place < 0) return;
  m.ids[place] = 0;
  m.events.published(id);
}

function accept(m: Mqtt, now: number): void {
  const kind = m.packet.kind;
  // Any whole packet proves that the broker is alive, so it also answers a PINGREQ.
  m.heardAt = now;
  m.pingBy = 0;
  if ((kind === Kind.Connack) !== (m.state === LinkState.Connecting)) leave(m, now, true);
  else if (kind === Kind.Connack) onConnack(m, now);
  else if (kind === Kind.Suback) onSuback(m, now);
  else if (kind === Kind.Publish) onPublish(m, now);
  else if (kind === Kind.Puback) onPuback(m);
}

function open(m: Mqtt, now: number): void {
  m.state = LinkState.Dialling;
  // Where `open` stops the loop, its answer comes only after that.
  m.wakeAt = now + Patience.AnswerMs + m.net.stops * Limit.ConnectSec * 1000;
  try {
    m.net.open();
  } catch (_refused) {
    leave(m, now, false);
  }
}

/** The port's connection is open. */
export function mqttOpened(m: Mqtt, now: number): void {
  if (m.state !== LinkState.Dialling) return;
  m.state = LinkState.Connecting;
  m.wakeAt = now + Patience.AnswerMs;
  send(m, encodeConnect(m.options), now);
}

/** Drops the start of a payload that nobody wants: it must not fill the memory. */
function lookAtPayload(m: Mqtt): void {
  const packet = m.packet;
  if (packet.topic === '' || packet.missing < 0) return;
  if (m.events.accepts(packet.topic, packet.payload.length + packet.missing)) return;
  m.isUnwanted = 1;
  packet.payload = '';
}

/** Takes one packet from what has arrived. The rest waits for the next tick, so that no call takes long. */
function takePacket(m: Mqtt, now: number): void {
  const packet = m.packet;
  // The missing payload has arrived: none of it is in `inbound`.
  const isComplete = packet.missing < 0;
  const size = isComplete ? 0 : decode(m.inbound, packet);
  if (size === 0 || packet.kind === Kind.Publish) lookAtPayload(m);
  if (packet.missing > 0) m.inbound = '';
  const isTaken = isComplete || size > 0;
  m.hasMore = isTaken && m.inbound.length > size ? 1 : 0;
  if (isTaken) {
    // Removed first: an application that throws must not corrupt the stream. Dropping the connection clears
    // what is left.
    packet.missing = 0;
    m.inbound = m.inbound.substring(size);
    accept(m, now);
  }
  if (size < 0) leave(m, now, true);
  else arm(m);
}

/** Appends to an incomplete payload, and keeps what follows it. */
function takeMissing(m: Mqtt, bytes: string): void {
  const packet = m.packet;
  const left = packet.missing - bytes.length;
  if (!m.isUnwanted) packet.payload += left < 0 ? bytes.substring(0, packet.missing) : bytes;
  m.inbound = bytes.substring(packet.missing);
  packet.missing = left > 0 ? left : -1;
}

/** Bytes from the broker, in pieces of any size. Malformed data closes the connection. */
export function mqttData(m: Mqtt, bytes: string, now: number): void {
  if (!connected(m)) return;
  if (m.packet.missing > 0) takeMissing(m, bytes);
  else m.inbound += bytes;
  if (!m.hasMore && m.packet.missing <= 0) takePacket(m, now);
  // A broker that sends faster than the ticks must not fill the memory.
  while (m.hasMore && m.inbound.length >= Limit.LongBytes) takePacket(m, now);
}

/**
 * The port's connection has ended or could not be made. A port must not report the end of a connection it was
 * asked to close once it has been asked to open the next one.
 */
export function mqttClosed(m: Mqtt, now: number): void {
  leave(m, now, false);
}

/** Does what is due. Call at `mqttWakeAt` or as often as convenient. */
export function mqttTick(m: Mqtt, now: number): void {
  if (m.hasMore) {
    takePacket(m, now);
    return;
  }
  if (now < m.wakeAt) return;
  if (m.state === LinkState.Waiting) open(m, now);
  else if (m.state !== LinkState.Online || now >= deadline(m)) leave(m, now, true);
  else {
    m.pingBy = now + Patience.AnswerMs;
    send(m, PINGREQ, now);
    arm(m);
  }
}

/**
 * When the next tick is needed, monotonic ms: 0 is at once, Infinity when only the network can cause work.
 */
export function mqttWakeAt(m: Mqtt): number {
  return m.hasMore ? 0 : m.wakeAt;
}

/**
 * Sends a message and keeps no copy.
 * @param qos 0 or 1
 * @returns the packet identifier (QoS 1), 0 (QoS 0), or -1 when it was not sent: not online, or four
 * publishes unacknowledged.
 */
export function mqttPublish(
  m: Mqtt,
  topic: string,
  payload: string,
  qos: number,
  retain: number,
  now: number,
): number {
  if (m.state !== LinkState.Online) return -1;
  let id = 0;
  if (qos === 1) {
    const place = m.ids.indexOf(0);
    if (place < 0) return -1;
    id = nextId(m);
    m.ids[place] = id;
    m.idsBy[place] = now + Patience.PubackMs;
  }
  send(m, encodePublish(topic, payload, qos, retain, 0, id), now);
  if (m.state !== LinkState.Online) return -1;
  arm(m);
  return id;
}

/** Sends DISCONNECT, so that the broker discards the will, and stops for good. */
export function mqttClose(m: Mqtt): void {
  const before = m.state;
  if (before === LinkState.Stopped) return;
  m.state = LinkState.Stopped;
  m.wakeAt = Infinity;
  forget(m);
  if (before >= LinkState.Connecting) {
    try {
      m.net.write(DISCONNECT);
    } catch (_gone) {
      // The connection was lost anyway; the broker publishes the will.
    }
  }
  if (before !== LinkState.Waiting) hangUp(m);
  if (before === LinkState.Online) m.events.offline();
}
