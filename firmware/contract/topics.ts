// MQTT topics, made and read here alone. Those of a controller are nightproof/<site>/<controller>/<kind>; the kind
// is also part of what is signed, so that one message can never be passed off as another. The controller needs
// little of this: what it does not call is left out of its program.

export type UpKind = 'presence' | 'state' | 'record' | 'live' | 'reply';
export type DownKind = 'order' | 'plan' | 'settings' | 'ack' | 'time';
export type MessageKind = UpKind | DownKind;

const ROOT = 'nightproof/';
const ID = /^[a-z0-9-]{1,24}$/;

/** Kinds that come up from a controller, with the QoS the host asks for: a live reading may be lost. */
const UP_QOS: { [K in UpKind]: 0 | 1 } = { presence: 1, state: 1, record: 1, reply: 1, live: 0 };

/** `site/controller`, both [a-z0-9-]{1,24}: the address of a controller, signed with every message. */
export function addressOf(site: string, controller: string): string {
  return site + '/' + controller;
}

/** The controller in an address, which is also the id of its circuit. */
export function controllerOf(address: string): string {
  return address.split('/')[1];
}

/** Topic of a kind of message of the controller at an address. */
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

/** Kind of message of a topic that comes down to a controller; '' where it is none. */
export function downKindOf(topic: string): DownKind | '' {
  const kind = topic.substring(topic.lastIndexOf('/') + 1);
  return kind === 'order' || kind === 'plan' || kind === 'settings' || kind === 'ack' || kind === 'time'
    ? kind
    : '';
}

/** Whether a kind of message comes up from a controller. */
export function isUpKind(kind: string): kind is UpKind {
  return typeof UP_QOS[kind as UpKind] === 'number';
}

/** A controller's topic by its parts. */
export interface TopicParts {
  site: string;
  controller: string;
  address: string;
  kind: MessageKind;
}

/** Reads a controller's topic; undefined when it is none. */
export function readTopic(topic: string): TopicParts | undefined {
  const parts = topic.split('/');
  const [root, site, controller, kind] = parts;
  if (parts.length !== 4 || root + '/' !== ROOT || !ID.test(site) || !ID.test(controller)) return undefined;
  const known = isUpKind(kind) ? kind : downKindOf(topic);
  return known === '' ? undefined : { site, controller, address: addressOf(site, controller), kind: known };
}

/** What the host of a site listens to, with the QoS of each. */
export function upTopics(site: string): { [topic: string]: { qos: 0 | 1 } } {
  const topics: { [topic: string]: { qos: 0 | 1 } } = {};
  Object.keys(UP_QOS).forEach((kind) => {
    topics[topicOf(addressOf(site, '+'), kind as UpKind)] = { qos: UP_QOS[kind as UpKind] };
  });
  return topics;
}

/** Where the host leaves its risk notice for displays and people; below no controller, and unsigned. */
export function noticeTopic(site: string): string {
  return ROOT + site + '/notice';
}
