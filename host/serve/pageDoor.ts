// Where the page is served and under which names, and its certificates. Beyond this machine it is served by TLS only, and
// asks who is there from the first moment on.
import { isIP } from 'node:net';
import { networkInterfaces } from 'node:os';
import { guarded } from '../guarded';
import { isThisMachine } from '../loopback';
import type { PageServer } from '../server/server';
import { fingerprintLines } from '../server/trustPage';
import type { Site } from '../site/model';
import { givenTls, ownTls, type Tls, tlsFileOf } from '../tls/kept';
import { tell } from './tell';

export interface PageWish {
  site: Pick<Site, 'id'>;
  /** Address the page is served on; this machine only by default. */
  host?: string;
  /** Names by which devices in the building find this machine, beside its addresses. */
  names?: readonly string[];
  /** PEM files to use in place of certificates of the host's own. */
  tlsCert?: string;
  tlsKey?: string;
  db: string;
  simulated?: boolean;
  /** Addresses of this machine that others reach; by default as its interfaces say. */
  addresses?: () => string[];
}

export interface PageDoor {
  host: string;
  /** The first is the one that people open; none on this machine only, or while it has no address yet. */
  names: string[];
  tls?: Tls;
}

/** Time between two looks whether a certificate has to be renewed, ms. */
const LOOK_MS = 12 * 3600_000;
const NAME = /^[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*$/;

/** @throws Error with one sentence if the page cannot be served as wished */
export function expectSafePage({ host, names = [], tlsCert, tlsKey, db, simulated }: PageWish): void {
  if ((tlsCert === undefined) !== (tlsKey === undefined))
    throw new Error('--tls-cert and --tls-key belong together: give both files, or neither.');
  const wrong = names.find((name) => !NAME.test(name) && isIP(name) === 0);
  if (wrong !== undefined)
    throw new Error(
      `--name must be a host name in lower case or an address, such as lights.example.org, not "${wrong}".`,
    );
  if (host !== undefined && !isThisMachine(host) && (simulated || db === ':memory:'))
    throw new Error(
      `The page of a simulation is served on this machine only, not on ${host}; leave that out.`,
    );
}

/** All addresses of this machine that others reach. */
function ownAddresses(): string[] {
  return Object.values(networkInterfaces()).flatMap((all = []) =>
    all.filter((one) => !one.internal && !one.address.startsWith('fe80')).map((one) => one.address),
  );
}

const isEvery = (host: string): boolean => host === '0.0.0.0' || host === '::';

function makeTls(
  { site, host = '127.0.0.1', names: more = [], tlsCert, tlsKey, db }: PageWish,
  names: string[],
  nowMs: number,
): Promise<Tls> | Tls {
  if (tlsCert !== undefined && tlsKey !== undefined) return givenTls(tlsCert, tlsKey, nowMs);
  const given = isEvery(host) ? more : [...more, host];
  const all = [...names, 'localhost', '127.0.0.1'];
  return ownTls(tlsFileOf(db), { site: site.id, names: all, given, nowMs });
}

/**
 * Where the page is served, with its certificate.
 * @param nowMs civil time, UTC ms
 * @throws Error with one sentence if a certificate cannot be used
 */
export async function pageDoor(o: PageWish, nowMs: number): Promise<PageDoor> {
  const { host = '127.0.0.1', names: given = [] } = o;
  const isHere = isThisMachine(host);
  const addresses = isEvery(host) ? (o.addresses ?? ownAddresses)() : [host];
  const names = isHere ? [] : [...given, ...addresses];
  if (isHere && o.tlsCert === undefined) return { host, names };
  const tls = await makeTls(o, names, nowMs);
  for (const caution of tls.cautions) tell(caution);
  return { host, names, tls };
}

/** Renews the certificate of a running page in time, until the returned function is called. */
export function keepRenewing(
  o: PageWish,
  { names, tls }: PageDoor,
  server: Pick<PageServer, 'renew'>,
  now: () => number,
): () => void {
  if (!tls) return () => {};
  let { cert } = tls;
  const look = async (): Promise<void> => {
    try {
      const next = await makeTls(o, names, now());
      if (next.cert !== cert) server.renew(next);
      ({ cert } = next);
    } catch (error) {
      tell((error as Error).message);
    }
  };
  const timer = setInterval(
    guarded(() => void look(), tell),
    LOOK_MS,
  );
  return () => clearInterval(timer);
}

/** What the people at the host have to know of it. */
export function doorWords(url: string, { tls }: PageDoor): string {
  if (!tls?.authority) return '';
  const [first, second] = fingerprintLines(tls.authority.fingerprint);
  return `Devices trust the page once they have its authority: ${url}/trust. Compare the fingerprint there with this one:\n  ${first}\n  ${second}\n`;
}
