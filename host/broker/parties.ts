// Who may publish and subscribe what, in one place: the built-in broker asks here for each message, and the files
// for another broker are written from the same lists. What is not granted is refused.
import { Limit } from '../../firmware/contract/limits';
import {
  addressOf,
  downTopics,
  isUpKind,
  type MessageKind,
  noticeTopic,
  readTopic,
  statusTopics,
  topicOf,
  type UpKind,
  upTopics,
} from '../../firmware/contract/topics';

import type { Site } from '../site/model';

/** What a client is, as its login shows; a guest has none. */
export type Party =
  | { kind: 'reader' | 'guest' }
  /** With the first level of the topics of discovery messages, where there are any. */
  | { kind: 'host' | 'platform'; discovery?: string }
  | { kind: 'controller'; controller: string };

export interface Grants {
  /** Topics, or filters that cover them. */
  publish: string[];
  subscribe: string[];
}

/** Prefix of the id of the host's own client. */
export const HOST_CLIENT = 'nightproof-host';
/** Only these may be retained by the broker and delivered to later subscribers. */
const MAY_RETAIN: MessageKind[] = ['presence', 'state'];
const UP_KINDS: UpKind[] = ['presence', 'state', 'record', 'live', 'reply'];
/** A platform says "online" or "offline". */
const BIRTH_BYTES = 64;
const SHOWN_CHARS = 64;
/** Room for one message about a luminaire or circuit, with its topic: the longest usual ones. */
export const STATUS_BYTES = 1024;

/** How many messages a site's status is. */
export function statusCount({ circuits }: Pick<Site, 'circuits'>): number {
  return 2 + circuits.reduce((sum, { luminaires }) => sum + 1 + luminaires.length, 0);
}

/** How many discovery messages a site has: see host/integrators/discovery.ts. */
export function discoveryCount({ circuits }: Pick<Site, 'circuits'>): number {
  return 1 + circuits.reduce((sum, { luminaires }) => sum + 4 + luminaires.length, 0);
}

/** The client id of a controller, which is also its user name: its address with a dot. */
export function clientIdOf(site: string, controller: string): string {
  return `${site}.${controller}`;
}

/** The controller a client id or user name stands for; undefined for all others. */
export function controllerOfClient(
  clientId: string,
  site: string,
  controllers: readonly string[],
): string | undefined {
  return controllers.find((id) => clientId === clientIdOf(site, id));
}

/** What the host says to people and other systems: nothing is decided from it, and nobody else may say it. */
function toldTopics(site: string): string[] {
  return [noticeTopic(site), ...statusTopics(site)];
}

/** Where the host says to platforms what there is, whatever the first level of these topics. */
function discoveryTopic(site: string): string {
  return `+/+/nightproof-${site}/+/config`;
}

/** Where a platform says that it listens. */
export function birthTopic(prefix: string): string {
  return `${prefix}/status`;
}

/** Where platforms look for such messages, with and without a level for the site. */
function lookedFor(prefix: string | undefined): string[] {
  return prefix === undefined ? [] : [`${prefix}/+/+/config`, `${prefix}/+/+/+/config`];
}

/** Where platforms say that they look for them; no topic without discovery. */
function births(prefix: string | undefined): string[] {
  return prefix === undefined ? [] : [birthTopic(prefix)];
}

/** Whether a topic is one of those. */
function isTold(site: string, topic: string): boolean {
  return toldTopics(site).some((told) => covers(told, topic));
}

/** All that a party may do. */
export function grantsOf(site: string, party: Party): Grants {
  const all = addressOf(site, '+');
  switch (party.kind) {
    case 'host':
      return {
        publish: [...downTopics(all), ...toldTopics(site), discoveryTopic(site)],
        subscribe: [...Object.keys(upTopics(site)), ...births(party.discovery)],
      };
    case 'controller': {
      const own = addressOf(site, party.controller);
      return { publish: UP_KINDS.map((kind) => topicOf(own, kind)), subscribe: downTopics(own) };
    }
    case 'reader':
      return { publish: [], subscribe: [...Object.keys(upTopics(site)), ...toldTopics(site)] };
    case 'platform':
      return {
        publish: births(party.discovery),
        subscribe: [...toldTopics(site), ...lookedFor(party.discovery)],
      };
    case 'guest':
      return { publish: [], subscribe: [noticeTopic(site)] };
  }
}

/** Whether a granted filter covers everything that another asks for. "#" is never granted. */
export function covers(granted: string, asked: string): boolean {
  const [own, other] = [granted.split('/'), asked.split('/')];
  return (
    own.length === other.length &&
    own.every((level, i) => (level === '+' ? other[i] !== '#' : level === other[i]))
  );
}

/** Text from outside as a line can show it: in printable ASCII, and cut. */
export function shown(text: string): string {
  const cut = text.length > SHOWN_CHARS ? `${text.slice(0, SHOWN_CHARS)}…` : text;
  if (/^[A-Za-z0-9/_.+#$:-]+…?$/.test(cut)) return cut;
  return JSON.stringify(cut).replace(
    /[^\x20-\x7e…]/g,
    (char) => `\\u${char.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
}

export interface Published {
  topic: string;
  retain: boolean;
  qos: number;
  payload: { length: number };
}

/** What a platform says at a birth is heard once and kept by nobody: else it could fill the broker's memory. */
function birthRefusal({ retain, payload }: Published): string {
  if (retain) return 'what a platform says must not be retained';
  return payload.length > BIRTH_BYTES ? `a birth message of ${payload.length} bytes is too long` : '';
}

/** What about a message would be refused for its own sake; '' if nothing. */
function messageRefusal(site: string, party: Party, packet: Published): string {
  if (packet.qos > 1) return 'QoS 2 is not used here';
  if (packet.payload.length > Limit.PacketBytes)
    return `a message of ${packet.payload.length} bytes is too long`;
  if (party.kind === 'platform' && births(party.discovery).includes(packet.topic))
    return birthRefusal(packet);
  if ([...toldTopics(site), discoveryTopic(site)].some((granted) => covers(granted, packet.topic))) return '';
  const parts = readTopic(packet.topic);
  if (parts?.site !== site) return `topic ${shown(packet.topic)} does not belong to this site`;
  return packet.retain && !MAY_RETAIN.includes(parts.kind) ? `a ${parts.kind} must not be retained` : '';
}

/** Why a client may not publish this, or '' when it may. */
export function publishRefusal(site: string, party: Party, clientId: string, packet: Published): string {
  const why = messageRefusal(site, party, packet);
  if (why) return why;
  if (grantsOf(site, party).publish.some((granted) => covers(granted, packet.topic))) return '';
  if (isTold(site, packet.topic))
    return `client ${shown(clientId)} may not publish ${shown(packet.topic)}, which the host does`;
  if (party.kind === 'controller')
    return `controller ${party.controller} may not publish ${shown(packet.topic)}`;
  const isUp = isUpKind(readTopic(packet.topic)?.kind ?? '');
  return `client ${shown(clientId)} is not ${isUp ? 'a controller' : 'the host'} of this site`;
}

/** Why a client may not subscribe to this, or '' when it may. */
export function subscribeRefusal(site: string, party: Party, clientId: string, filter: string): string {
  if (grantsOf(site, party).subscribe.some((granted) => covers(granted, filter))) return '';
  const who =
    party.kind === 'controller' ? `controller ${party.controller}` : `${party.kind} ${shown(clientId)}`;
  return `${who} may not subscribe to ${shown(filter)}`;
}
