// Store and forward: sends what the journal and the core have to report as the connection allows, and hands
// what arrives to the inbox. Records leave one at a time, oldest first, and are done only when the log book
// says it has them; the broker may lose anything.
import { Reason } from '../contract/codes';
import { Limit, WIRE_VERSION } from '../contract/limits';
import { sign } from '../contract/signature';
import { downKindOf, downTopics, topicOf, type UpKind } from '../contract/topics';
import { isQuiet } from '../core/quiet';
import { type Core, isDischarging } from '../core/state';
import { type Journal, nextToSend, resend, sentRecord } from '../journal/journal';
import type { NetPort } from '../ports';
import { hasUnread, type Inbox, readOn, receive } from './inbox';
import { LinkState, type Mqtt, type MqttEvents, mqttPublish, mqttTick, mqttWakeAt, newMqtt } from './mqtt';
import { liveText, replyText, stateText } from './report';

/** First and longest wait for the log book's acknowledgement, ms. */
const ACK_PATIENCE_MS = 30000;
const ACK_PATIENCE_MAX_MS = 3600000;
/** Wait after an acknowledgement that leaves records open, ms. */
const ACK_PROMPT_MS = 2000;
/** Shortest time between two state messages, ms: a burst of changes is reported once. */
const STATE_PAUSE_MS = 250;

export interface LinkOptions {
  /** For a broker with accounts of its own; empty or missing: the client id, if there is a password. */
  user?: string;
  password: string;
  /** MQTT keep alive, s; 0 none. */
  keepAliveSec: number;
  /** A state message is due at least this often, s. */
  heartbeatSec: number;
  /** Live readings at most this often, ms; 0 none. */
  liveMs: number;
  /** 0 to 1, fixed per controller: spreads reconnections. */
  jitter: number;
}

export interface Link {
  options: LinkOptions;
  core: Core;
  journal: Journal;
  inbox: Inbox;
  mqtt: Mqtt;
  address: string;
  online: number;
  /** Record on its way to the broker: packet id (0 none) and text. */
  recordId: number;
  recordText: string;
  ackedSeen: number;
  ackBy: number;
  ackPatienceMs: number;
  stateAt: number;
  heartbeatAt: number;
  liveAt: number;
  /** 1: a fresh lamp reading waits to be sent. */
  hasReading: number;
  /** Monotonic ms of the link and of the core in the current turn. */
  now: number;
  coreNow: number;
}

function topic(l: Link, kind: UpKind): string {
  return topicOf(l.address, kind);
}

function presence(online: number): string {
  return '{"v":' + WIRE_VERSION + ',"online":' + online + '}';
}

/**
 * Sets the handlers for news from the client. Written without inner functions, which would take memory, and
 * created here because closures keep everything they can see.
 */
function hearOf(l: Link, events: MqttEvents): void {
  events.online = function (): void {
    l.online = 1;
    l.recordId = 0;
    resend(l.journal);
    mqttPublish(l.mqtt, topic(l, 'presence'), presence(1), 1, 1, l.now);
    l.core.dirty = 1;
    l.stateAt = l.now;
  };
  events.offline = function (): void {
    l.online = 0;
    l.recordId = 0;
  };
  events.accepts = function (topicText: string, bytes: number): boolean {
    const kind = downKindOf(topicText);
    return (
      kind !== '' && bytes <= (kind === 'plan' || kind === 'settings' ? Limit.LongBytes : Limit.ShortBytes)
    );
  };
  events.message = function (topicText: string, payload: string, retained: number): void {
    const kind = downKindOf(topicText);
    if (kind !== '') receive(l.inbox, kind, payload, retained, l.coreNow);
    // An acknowledgement that leaves records open may mean they were lost, so do not wait long.
    if (l.inbox.hasAck) l.ackBy = Math.min(l.ackBy, l.now + ACK_PROMPT_MS);
    l.inbox.hasAck = 0;
  };
  events.published = function (id: number): void {
    if (id !== l.recordId) return;
    l.recordId = 0;
    sentRecord(l.journal, l.recordText);
    l.recordText = '';
  };
}

/** An idle link; `site/controller` with the slash replaced is the client id, so it is unique per key. */
export function newLink(
  options: LinkOptions,
  core: Core,
  journal: Journal,
  inbox: Inbox,
  address: string,
  net: NetPort,
): Link {
  const connect = {
    clientId: address.replace('/', '.'),
    user: options.user,
    password: options.password,
    keepAliveSec: options.keepAliveSec,
    willTopic: topicOf(address, 'presence'),
    willPayload: presence(0),
    topics: downTopics(address),
    jitter: options.jitter,
  };
  const events = {} as MqttEvents;
  const l: Link = {
    options: options,
    core: core,
    journal: journal,
    inbox: inbox,
    mqtt: newMqtt(connect, net, events),
    address: address,
    online: 0,
    recordId: 0,
    recordText: '',
    ackedSeen: 0,
    ackBy: 0,
    ackPatienceMs: ACK_PATIENCE_MS,
    stateAt: 0,
    heartbeatAt: 0,
    liveAt: 0,
    hasReading: 0,
    now: 0,
    coreNow: 0,
  };
  hearOf(l, events);
  return l;
}

/** Waits longer each time for a log book that does not answer, and not at all for one that does. */
function watchAcknowledgement(l: Link): void {
  if (l.journal.acked !== l.ackedSeen) {
    l.ackedSeen = l.journal.acked;
    l.ackPatienceMs = ACK_PATIENCE_MS;
  } else if (l.journal.acked < l.journal.last && l.journal.sendSeq > l.journal.last && l.now >= l.ackBy) {
    l.ackPatienceMs = Math.min(l.ackPatienceMs * 2, ACK_PATIENCE_MAX_MS);
    l.ackBy = l.now + l.ackPatienceMs;
    resend(l.journal);
  }
}

/** @returns whether a record was looked up: even without success, that is work enough for one turn. */
function sendRecord(l: Link): boolean {
  if (l.recordId !== 0 || l.journal.sendSeq > l.journal.last) return false;
  const text = nextToSend(l.journal);
  if (text === '') return true;
  const id = mqttPublish(l.mqtt, topic(l, 'record'), text, 1, 0, l.now);
  if (id <= 0) return true;
  l.recordId = id;
  l.recordText = text;
  l.ackBy = l.now + l.ackPatienceMs;
  return true;
}

function sendReply(l: Link): void {
  const text = sign(l.inbox.key, 'reply', l.address, replyText(l.inbox.replyCounter, l.inbox.replyReason));
  if (mqttPublish(l.mqtt, topic(l, 'reply'), text, 1, 0, l.now) < 0) return;
  l.inbox.replyCounter = -1;
  l.inbox.replyReason = Reason.None;
}

function isStateDue(l: Link): boolean {
  return (l.core.dirty === 1 && l.now >= l.stateAt) || l.now >= l.heartbeatAt;
}

function sendState(l: Link): void {
  const text = stateText(l.core, l.journal, l.inbox.refused, l.coreNow);
  const sealed = sign(l.inbox.key, 'state', l.address, text);
  if (mqttPublish(l.mqtt, topic(l, 'state'), sealed, 0, 1, l.now) < 0) return;
  l.core.dirty = 0;
  l.stateAt = l.now + STATE_PAUSE_MS;
  l.heartbeatAt = l.now + l.options.heartbeatSec * 1000;
}

function sendLive(l: Link): void {
  // A reading that could not be sent is out of date once its test is over.
  if (!isDischarging(l.core)) l.hasReading = 0;
  if (!l.hasReading || l.options.liveMs === 0 || l.now < l.liveAt) return;
  l.hasReading = 0;
  l.liveAt = l.now + l.options.liveMs;
  mqttPublish(l.mqtt, topic(l, 'live'), liveText(l.core, l.coreNow), 0, 0, l.now);
}

/** Whether connecting has to wait: for a network, or for a moment in which the loop may stand still. */
function mustWait(l: Link): boolean {
  const m = l.mqtt;
  if (m.state !== LinkState.Waiting) return false;
  return !m.net.isReady() || (m.net.stops === 1 && !isQuiet(l.core, l.coreNow));
}

/**
 * One turn of the link. Sends at most one message: a turn must stay short, and the next one is soon. `now` is
 * the link's clock, `coreNow` the core's.
 */
export function linkTurn(l: Link, now: number, coreNow: number): void {
  l.now = now;
  l.coreNow = coreNow;
  if (now >= mqttWakeAt(l.mqtt)) {
    if (mustWait(l)) l.mqtt.wakeAt = now + Limit.AskAgainMs;
    else mqttTick(l.mqtt, now);
  } else if (hasUnread(l.inbox)) readOn(l.inbox, coreNow);
  else if (l.online) {
    watchAcknowledgement(l);
    if (l.inbox.replyCounter >= 0) sendReply(l);
    else if (isStateDue(l)) sendState(l);
    else if (!sendRecord(l)) sendLive(l);
  }
}

/** When the next turn of the link has something to do, on the link's clock. */
export function linkWakeAt(l: Link): number {
  const at = mqttWakeAt(l.mqtt);
  if (hasUnread(l.inbox)) return l.now;
  if (!l.online) return at;
  if (l.inbox.replyCounter >= 0) return l.now;
  let next = Math.min(at, l.heartbeatAt);
  if (l.core.dirty) next = Math.min(next, l.stateAt);
  if (l.hasReading && l.options.liveMs > 0) next = Math.min(next, l.liveAt);
  if (l.recordId === 0) {
    if (l.journal.sendSeq <= l.journal.last) return l.now;
    if (l.journal.acked < l.journal.last) next = Math.min(next, l.ackBy);
  }
  return next;
}

/** Whether the broker refused or keeps dropping the connection; for a plain sentence on the console. */
export function isLinkUp(l: Link): boolean {
  return l.mqtt.state === LinkState.Online;
}
