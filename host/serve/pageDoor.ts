// Where the page is served and under which names, and its certificates. Beyond this machine it is served by TLS only, and
// asks who is there from the first moment on.
import { isIP } from 'node:net';
import { isThisMachine, plainAddress } from '../loopback';
import { expectReachable, heardAt, isEvery, ownAddresses } from '../network/ownAddresses';
import type { Names } from '../server/guard';
import type { Site } from '../site/model';
import { givenTls, ownTls, type Tls, tlsFileOf } from '../tls/kept';

export interface PageWish {
  site: Pick<Site, 'id'>;
  /** Address the page is served on; this machine only by default. */
  host?: string;
  /** Names by which devices in the building find this machine, beside its addresses. */
  names?: readonly string[];
  /** PEM files to use in place of certificates of the host's own. */
  tlsCert?: string;
  tlsKey?: string;
  /** What the page is served with if no certificate can be had: that of the host before a takeover. */
  tls?: Tls;
  /** File of the host's own certificates; by default beside the log book. */
  tlsFile?: string;
  db: string;
  /** Addresses of this machine that others reach, best first; by default as its interfaces say. */
  addresses?: () => string[];
}

export interface PageDoor {
  host: string;
  names: Names;
  tls?: Tls;
  /** Why there is no certificate, or no newer one, in a sentence; '' if all is well. */
  trouble: string;
}

/** Shortest time between two questions to the interfaces because of a request, ms. */
const ASK_MS = 1000;
const NAME = /^[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*$/;

/**
 * A simulation is served like a building: nobody reaches its broker from the network, its page asks who is there, and says
 * everywhere that it is one.
 * @throws Error with one sentence if the page cannot be served as wished
 */
export async function expectSafePage({ host, names = [], tlsCert, tlsKey, db }: PageWish): Promise<void> {
  if ((tlsCert === undefined) !== (tlsKey === undefined))
    throw new Error('--tls-cert and --tls-key belong together: give both files, or neither.');
  const wrong = names.find((name) => !NAME.test(name) && isIP(name) === 0);
  if (wrong !== undefined)
    throw new Error(
      `--name must be a host name in lower case or an address, such as lights.example.org, not "${wrong}".`,
    );
  if (host === undefined || isThisMachine(host)) {
    if (names.length > 0)
      throw new Error(
        `--name ${names[0]} needs --host: without it the page is for this machine only. Give the address that phones are to use.`,
      );
    return;
  }
  if (db === ':memory:')
    throw new Error(
      `Beside a log book in memory there is no place for the certificates and accounts that a page on ${host} needs; give a file with --db.`,
    );
  await expectReachable(host);
}

/** What people gave: the page is asked for by that, whatever the network says. */
function givenOf({ host = '127.0.0.1', names = [] }: PageWish): string[] {
  return isEvery(host) ? [...names] : [...names, plainAddress(host)];
}

/** Names and addresses of the page, the first for people: those given, then private ones. None on this machine only. */
function newNames(o: PageWish): Names {
  const { host = '127.0.0.1', addresses = ownAddresses } = o;
  if (isThisMachine(host)) return { present: () => [], askedAgain: () => [] };
  const given = givenOf(o);
  const ask = (): string[] => {
    if (!isEvery(host)) return given;
    return [...new Set([...given, ...heardAt(host, addresses())])];
  };
  let present = ask();
  let asked = performance.now();
  return {
    present: () => present,
    askedAgain() {
      if (performance.now() - asked > ASK_MS) {
        present = ask();
        asked = performance.now();
      }
      return present;
    },
  };
}

/** Whether the page is served by TLS. */
export function isSecure({ host = '127.0.0.1', tlsCert }: PageWish): boolean {
  return tlsCert !== undefined || !isThisMachine(host);
}

/**
 * Its certificate, a new one where there has to be one.
 * @param nowMs civil time, UTC ms
 * @throws Error with one sentence if none can be used
 */
export function makeTls(o: PageWish, names: readonly string[], nowMs: number): Promise<Tls> | Tls {
  const { site, tlsCert, tlsKey, db, tlsFile = tlsFileOf(db) } = o;
  if (tlsCert !== undefined && tlsKey !== undefined) return givenTls(tlsCert, tlsKey, nowMs);
  const all = [...names, 'localhost', '127.0.0.1'];
  return ownTls(tlsFile, { site: site.id, names: all, given: givenOf(o), nowMs });
}

/**
 * Where the page is served, with its certificate.
 * @param isFirst whether somebody starts a new log book, and is there to read why it cannot be served. Later a host starts
 * without its page rather than not at all: the controllers need its broker.
 * @throws Error with one sentence at the first start, if no certificate can be used
 */
export async function pageDoor(o: PageWish, nowMs: number, isFirst: boolean): Promise<PageDoor> {
  const { host = '127.0.0.1' } = o;
  const door = { host, names: newNames(o), trouble: '' };
  if (!isSecure(o)) return door;
  try {
    const tls = await makeTls(o, door.names.present(), nowMs);
    const isUseless = tls.authority === undefined && tls.cautions.length > 0;
    if (isFirst && isUseless) throw new Error(tls.cautions.join(' '));
    return { ...door, tls };
  } catch (error) {
    if (isFirst) throw error;
    return { ...door, ...(o.tls && { tls: o.tls }), trouble: (error as Error).message };
  }
}
