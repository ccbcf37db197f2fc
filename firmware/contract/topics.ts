// Makes and parses all MQTT topics. Those of a controller are nightproof/<site>/<controller>/<kind>; the kind
// is also signed, so one message can never be passed off as another. The controller needs little of this;
// what it does not call is left out of its program.

export type UpKind = 'presence' | 'state' | 'record' | 'live' | 'reply';
export type DownKind = 'order' | 'plan' | 'settings' | 'ack' | 'time';
export type MessageKind = UpKind | DownKind;

const ROOT = 'nightproof/';
/** Datagram to the broker's port number; the host sends it back as a sign of life. */
export const PROBE = 'nightproof?';
const ID = /^[a-z0-9-]{1,24}$/;

/** Kinds that a controller sends, with the QoS the host asks for: a live reading may be lost. */
const UP_QOS: { [K in UpKind]: 0 | 1 } = { presence: 1, state: 1, record: 1, reply: 1, live: 0 };

/** `site/controller`, both [a-z0-9-]{1,24}: the address of a controller, signed with every message. */
export function addressOf(site: string, controller: string): string {
  return site + '/' + controller;
}

/** The controller part of an address, which is also the id of its circuit. */
export function controllerOf(address: string): string {
  return address.split('/')[1];
}

/** Topic for a kind of message at a controller's address. */
export function topicOf(address: string, kind: MessageKind): string {
  return ROOT + address + '/' + kind;
}

/** Topics a controller listens to. */
export function downTopics(address: string): string[] {
  const kinds: DownKind[] = ['order', 'plan', 'settings', 'ack', 'time'];
  const topics: string[] = [];
  for (let i = 0; i < kinds.length; i++) topics.push(topicOf(address, kinds[i]));
  return topics;
}

/** Kind of message in a topic that is sent to a controller; '' if it is not one. */
export function downKindOf(topic: string): DownKind | '' {
  const kind = topic.substring(topic.lastIndexOf('/') + 1);
  return kind === 'order' || kind === 'plan' || kind === 'settings' || kind === 'ack' || kind === 'time'
    ? kind
    : '';
}

/** Whether a controller sends this kind of message. */
export function isUpKind(kind: string): kind is UpKind {
  return typeof UP_QOS[kind as UpKind] === 'number';
}

/** A controller's topic from its parts. */
export interface TopicParts {
  site: string;
  controller: string;
  address: string;
  kind: MessageKind;
}

/** Parses a controller's topic; undefined when it is not one. */
export function readTopic(topic: string): TopicParts | undefined {
  const parts = topic.split('/');
  const [root, site, controller, kind] = parts;
  if (parts.length !== 4 || root + '/' !== ROOT || !ID.test(site) || !ID.test(controller)) return undefined;
  const known = isUpKind(kind) ? kind : downKindOf(topic);
  return known === '' ? undefined : { site, controller, address: addressOf(site, controller), kind: known };
}

/** What the host of a site subscribes to, with the QoS of each. */
export function upTopics(site: string): { [topic: string]: { qos: 0 | 1 } } {
  const topics: { [topic: string]: { qos: 0 | 1 } } = {};
  Object.keys(UP_QOS).forEach((kind) => {
    topics[topicOf(addressOf(site, '+'), kind as UpKind)] = { qos: UP_QOS[kind as UpKind] };
  });
  return topics;
}

/**
 * What the host says of each thing in words and retained, unsigned: itself, the building, a circuit or a luminaire
 * (`id`; "+" for all).
 */
export function statusTopic(
  site: string,
  of: 'host' | 'building' | 'circuit' | 'luminaire',
  id: string,
): string {
  return ROOT + site + '/status/' + of + (id === '' ? '' : '/' + id);
}

/** Every topic of `statusTopic`, as filters. */
export function statusTopics(site: string): string[] {
  return [
    statusTopic(site, 'host', ''),
    statusTopic(site, 'building', ''),
    statusTopic(site, 'circuit', '+'),
    statusTopic(site, 'luminaire', '+'),
  ];
}

/** Where the host publishes its risk notice for displays and people; not under a controller, and unsigned. */
export function noticeTopic(site: string): string {
  return ROOT + site + '/notice';
}
