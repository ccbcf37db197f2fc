// Files for Mosquitto from the lists of the built-in broker: who may log in, and what each may do. What it cannot be
// told is listed in docs/operating.md.
import { pbkdf2Sync, randomBytes } from 'node:crypto';
import { Limit } from '../../firmware/contract/limits';
import type { KeyRing } from '../keys';
import type { Site } from '../site/model';
import { hostUserOf } from './address';
import { type Login, loginOf, platformUser, readerUser } from './logins';
import {
  clientIdOf,
  discoveryCount,
  type Grants,
  grantsOf,
  HOST_CLIENT,
  type Party,
  STATUS_BYTES,
  statusCount,
} from './parties';

/** A building as the files know it. */
export interface FilesBuilding {
  site: Site;
  keys: Pick<KeyRing, 'seedFor'>;
}

export interface FilesWish {
  /** Each with an id of its own. */
  buildings: FilesBuilding[];
  /** Whether the host of each building has a user of its own, since one user has one connection there. */
  isShared?: boolean;
  /** Names of readers, without `reader-`: of all buildings, or as `SITE/NAME` of one. */
  readers: string[];
  /** Names of platforms, without `platform-`, in the same way. */
  platforms?: string[];
  /** First level of the topics by which platforms find everything, as `serve` is told. */
  discovery?: string;
  /** Where Mosquitto is to listen. */
  host: string;
  port: number;
  /** Folder of the files, as Mosquitto finds it. */
  folder: string;
  /** A second place to listen, for readers and platforms, which must show a certificate and can log in nowhere else. */
  tls?: ClientTls;
}

export interface ClientTls {
  port: number;
  /** PEM files as Mosquitto finds them: of the authority that all certificates are from, of the broker, and its key. */
  authority: string;
  certificate: string;
  key: string;
}

export interface BrokerFiles {
  /** Contents by name of the file. */
  texts: Record<'nightproof.conf' | 'passwords' | 'acl' | 'readers.txt', string> & {
    /** Of the second place to listen. */
    [name in 'passwords-tls' | 'acl-tls']?: string;
  };
  users: number;
}

/** Rounds of a password's hash, as mosquitto_passwd makes them: the passwords are random, so guessing is hopeless. */
const ROUNDS = 101;
const HASH_BYTES = 64;
const SALT_BYTES = 12;
const HEAD = '# Written by "nightproof broker-files", and anew each time: change nothing here.\n';
/** Connections beside one of every controller. */
const MORE_CONNECTIONS = 64;

/** A line of a password file (mosquitto_passwd, Mosquitto 2.0): PBKDF2 with SHA-512. */
function passwordLine({ user, password }: Login): string {
  const salt = randomBytes(SALT_BYTES);
  const hash = pbkdf2Sync(password, salt, ROUNDS, HASH_BYTES, 'sha512');
  return `${user}:$7$${ROUNDS}$${salt.toString('base64')}$${hash.toString('base64')}`;
}

/** Somebody who may log in. */
interface User {
  user: string;
  /** With whose secret its password is made. */
  keys: FilesBuilding['keys'];
  party: Party;
  /** Buildings it is let into. */
  sites: string[];
}

/** What a user may do in all its buildings, each topic once. */
function allGrants({ party, sites }: User): Grants {
  const all = sites.map((site) => grantsOf(site, party));
  const once = (topics: string[]): string[] => [...new Set(topics)];
  return {
    publish: once(all.flatMap(({ publish }) => publish)),
    subscribe: once(all.flatMap(({ subscribe }) => subscribe)),
  };
}

function aclOf(one: User): string {
  const { publish, subscribe } = allGrants(one);
  const lines = [
    ...publish.map((topic) => `topic write ${topic}`),
    ...subscribe.map((topic) => `topic read ${topic}`),
  ];
  return `user ${one.user}\n${lines.join('\n')}\n`;
}

/** Who comes here shows a certificate and gives the password as well. */
function tlsLines({ port, authority, certificate, key }: ClientTls, host: string, folder: string): string[] {
  return [
    '',
    '# For readers and platforms with a certificate; controllers and the host are not let in here.',
    `listener ${port} ${host}`,
    ...whoLines(folder, '-tls'),
    `cafile ${authority}`,
    `certfile ${certificate}`,
    `keyfile ${key}`,
    'tls_version tlsv1.2',
    'require_certificate true',
    `max_connections ${MORE_CONNECTIONS}`,
  ];
}

/** Who may log in at a listener, each under his own name. */
function whoLines(folder: string, more: string): string[] {
  return [
    'allow_anonymous false',
    `password_file ${folder}/passwords${more}`,
    `acl_file ${folder}/acl${more}`,
    '# Nobody can log in under the name of another.',
    'use_username_as_clientid true',
    'max_qos 1',
  ];
}

function confOf({ buildings, platforms = [], host, port, folder, tls }: FilesWish, users: number): string {
  const status = buildings.reduce(
    (sum, { site }) => sum + statusCount(site) + (platforms.length > 0 ? discoveryCount(site) : 0),
    0,
  );
  return [
    ...(tls ? ['# Each listener has users of its own.', 'per_listener_settings true'] : []),
    `listener ${port} ${host}`,
    ...whoLines(folder, ''),
    `message_size_limit ${Limit.PacketBytes}`,
    `max_packet_size ${Limit.PacketBytes + 512}`,
    'max_keepalive 120',
    `max_connections ${users + MORE_CONNECTIONS}`,
    '# What a client does not read is dropped: controllers send again, and the host asks. Beside that, a reader gets',
    '# the status of everything at once when it subscribes.',
    `max_queued_messages ${1000 + status}`,
    `max_queued_bytes ${524_288 + status * STATUS_BYTES}`,
    'persistence false',
    ...(tls ? tlsLines(tls, host, folder) : []),
    '',
  ].join('\n');
}

/** The building that a name is for, and the rest of it; all buildings for a name without one. */
function buildingsOf(named: string, buildings: FilesBuilding[]): { name: string; own: FilesBuilding[] } {
  const slash = named.indexOf('/');
  if (slash < 0) return { name: named, own: buildings };
  const id = named.slice(0, slash);
  const own = buildings.filter(({ site }) => site.id === id);
  if (own.length > 0) return { name: named.slice(slash + 1), own };
  const ids = buildings.map(({ site }) => site.id).join(', ');
  throw new Error(
    `There is no building ${JSON.stringify(id)} for ${JSON.stringify(named)}; name one of: ${ids}.`,
  );
}

/** @param userOf makes a user name, or throws with one sentence */
function outsiders(
  names: string[],
  { buildings }: FilesWish,
  { userOf, party }: { userOf(name: string): string; party: Party },
): User[] {
  return names.map((named) => {
    const { name, own } = buildingsOf(named, buildings);
    return { user: userOf(name), keys: own[0].keys, party, sites: own.map(({ site }) => site.id) };
  });
}

/** Controllers and host. */
function insiders({ site, keys }: FilesBuilding, host: string, party: Party): User[] {
  const sites = [site.id];
  return [
    { user: host, keys, party, sites },
    ...site.circuits.map(
      ({ id }): User => ({
        ...{ user: clientIdOf(site.id, id), keys, sites },
        party: { kind: 'controller', controller: id },
      }),
    ),
  ];
}

/** Mosquitto knows one password for a name. @throws Error with one sentence */
function expectOnce(users: User[]): void {
  const names = users.map(({ user }) => user);
  const twice = names.find((name, i) => names.indexOf(name) < i);
  if (twice !== undefined)
    throw new Error(
      `${twice} is named twice; each reader and platform needs a name of its own, also in another building.`,
    );
}

/**
 * The files for all buildings of one Mosquitto.
 * @throws Error with one sentence for a name of a reader or platform that is unusable, given twice, or of no building
 */
export function brokerFiles(wish: FilesWish): BrokerFiles {
  const { buildings, isShared = false } = wish;
  const more = wish.discovery === undefined ? {} : { discovery: wish.discovery };
  const inside = buildings.flatMap((one) =>
    insiders(one, isShared ? hostUserOf(one.site.id) : HOST_CLIENT, { kind: 'host', ...more }),
  );
  const outside = [
    ...outsiders(wish.readers, wish, { userOf: readerUser, party: { kind: 'reader' } }),
    ...outsiders(wish.platforms ?? [], wish, { userOf: platformUser, party: { kind: 'platform', ...more } }),
  ];
  expectOnce(outside);
  const first = wish.tls ? inside : [...inside, ...outside];
  const passwords = (all: User[]) =>
    all.map(({ user, keys }) => `${passwordLine(loginOf(keys, user))}\n`).join('');
  const acl = (all: User[]) => HEAD + all.map(aclOf).join('\n');
  return {
    texts: {
      'nightproof.conf': HEAD + confOf(wish, first.length),
      passwords: passwords(first),
      acl: acl(first),
      ...(wish.tls && { 'passwords-tls': passwords(outside), 'acl-tls': acl(outside) }),
      'readers.txt': outside.map(({ user, keys }) => `${user} ${loginOf(keys, user).password}\n`).join(''),
    },
    users: inside.length + outside.length,
  };
}
