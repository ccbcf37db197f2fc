// Files for Mosquitto from the lists of the built-in broker: who may log in, and what each may do. What it cannot be
// told is listed in docs/operating.md.
import { pbkdf2Sync, randomBytes } from 'node:crypto';
import { Limit } from '../../firmware/contract/limits';
import type { KeyRing } from '../keys';
import type { Site } from '../site/model';
import { type Login, loginOf, platformUser, readerUser } from './logins';
import {
  clientIdOf,
  discoveryCount,
  grantsOf,
  HOST_CLIENT,
  type Party,
  STATUS_BYTES,
  statusCount,
} from './parties';

export interface FilesWish {
  site: Site;
  keys: Pick<KeyRing, 'seedFor'>;
  /** Names of readers, without `reader-`. */
  readers: string[];
  /** Names of platforms, without `platform-`. */
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

function aclOf(site: string, [user, party]: [string, Party]): string {
  const { publish, subscribe } = grantsOf(site, party);
  const lines = [
    ...publish.map((topic) => `topic write ${topic}`),
    ...subscribe.map((topic) => `topic read ${topic}`),
  ];
  return `user ${user}\n${lines.join('\n')}\n`;
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

function confOf({ site, platforms = [], host, port, folder, tls }: FilesWish, users: number): string {
  const status = statusCount(site) + (platforms.length > 0 ? discoveryCount(site) : 0);
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

/** @throws Error with one sentence for an unusable name of a reader */
export function brokerFiles(wish: FilesWish): BrokerFiles {
  const { site, keys } = wish;
  const more = wish.discovery === undefined ? {} : { discovery: wish.discovery };
  const readers = wish.readers.map(readerUser);
  const platforms = (wish.platforms ?? []).map(platformUser);
  const inside: [string, Party][] = [
    [HOST_CLIENT, { kind: 'host', ...more }],
    ...site.circuits.map(({ id }): [string, Party] => [
      clientIdOf(site.id, id),
      { kind: 'controller', controller: id },
    ]),
  ];
  const outside: [string, Party][] = [
    ...readers.map((user): [string, Party] => [user, { kind: 'reader' }]),
    ...platforms.map((user): [string, Party] => [user, { kind: 'platform', ...more }]),
  ];
  const first = wish.tls ? inside : [...inside, ...outside];
  const passwords = (all: [string, Party][]) =>
    all.map(([user]) => `${passwordLine(loginOf(keys, user))}\n`).join('');
  const acl = (all: [string, Party][]) => HEAD + all.map((one) => aclOf(site.id, one)).join('\n');
  return {
    texts: {
      'nightproof.conf': HEAD + confOf(wish, first.length),
      passwords: passwords(first),
      acl: acl(first),
      ...(wish.tls && { 'passwords-tls': passwords(outside), 'acl-tls': acl(outside) }),
      'readers.txt': [...readers, ...platforms]
        .map((user) => `${user} ${loginOf(keys, user).password}\n`)
        .join(''),
    },
    users: inside.length + outside.length,
  };
}
