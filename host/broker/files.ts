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
  /** A second place to listen, for clients that show a certificate. */
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
  texts: Record<'nightproof.conf' | 'passwords' | 'acl' | 'readers.txt', string>;
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

/** Who comes here shows a certificate and gives the password as well. What is above holds here too. */
function tlsLines({ port, authority, certificate, key }: ClientTls, host: string): string[] {
  return [
    '',
    '# For readers and platforms with a certificate; controllers speak no TLS.',
    `listener ${port} ${host}`,
    `cafile ${authority}`,
    `certfile ${certificate}`,
    `keyfile ${key}`,
    'tls_version tlsv1.2',
    'require_certificate true',
    'use_username_as_clientid true',
    'max_qos 1',
    `max_connections ${MORE_CONNECTIONS}`,
  ];
}

function confOf({ site, platforms = [], host, port, folder, tls }: FilesWish, users: number): string {
  const status = statusCount(site) + (platforms.length > 0 ? discoveryCount(site) : 0);
  return [
    `listener ${port} ${host}`,
    'allow_anonymous false',
    `password_file ${folder}/passwords`,
    `acl_file ${folder}/acl`,
    '# Nobody can log in under the name of another.',
    'use_username_as_clientid true',
    `message_size_limit ${Limit.PacketBytes}`,
    `max_packet_size ${Limit.PacketBytes + 512}`,
    'max_qos 1',
    'max_keepalive 120',
    `max_connections ${users + MORE_CONNECTIONS}`,
    '# What a client does not read is dropped: controllers send again, and the host asks. Beside that, a reader gets',
    '# the status of everything at once when it subscribes.',
    `max_queued_messages ${1000 + status}`,
    `max_queued_bytes ${524_288 + status * STATUS_BYTES}`,
    'persistence false',
    ...(tls ? tlsLines(tls, host) : []),
    '',
  ].join('\n');
}

/** @throws Error with one sentence for an unusable name of a reader */
export function brokerFiles(wish: FilesWish): BrokerFiles {
  const { site, keys } = wish;
  const more = wish.discovery === undefined ? {} : { discovery: wish.discovery };
  const readers = wish.readers.map(readerUser);
  const platforms = (wish.platforms ?? []).map(platformUser);
  const parties: [string, Party][] = [
    [HOST_CLIENT, { kind: 'host', ...more }],
    ...site.circuits.map(({ id }): [string, Party] => [
      clientIdOf(site.id, id),
      { kind: 'controller', controller: id },
    ]),
    ...readers.map((user): [string, Party] => [user, { kind: 'reader' }]),
    ...platforms.map((user): [string, Party] => [user, { kind: 'platform', ...more }]),
  ];
  const lines = parties.map(([user]) => passwordLine(loginOf(keys, user)));
  return {
    texts: {
      'nightproof.conf': HEAD + confOf(wish, parties.length),
      passwords: `${lines.join('\n')}\n`,
      acl: HEAD + parties.map((one) => aclOf(site.id, one)).join('\n'),
      'readers.txt': [...readers, ...platforms]
        .map((user) => `${user} ${loginOf(keys, user).password}\n`)
        .join(''),
    },
    users: parties.length,
  };
}
