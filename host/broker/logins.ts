// Who a client of the broker is. Every controller, the host and every reader has a password of its own, derived from
// the site secret like the signing keys. Controllers commissioned before there were passwords log in without: such a
// one may go on so until its password has been seen once, because a controller that is locked out helps no one.
import { createHash, timingSafeEqual } from 'node:crypto';
import type { KeyRing } from '../keys';
import type { Memory } from '../logbook/memory';
import { controllerOfClient, HOST_CLIENT, type Party, shown } from './parties';

export interface Login {
  user: string;
  password: string;
}

export interface LoginOptions {
  site: string;
  /** Ids of the site's controllers. */
  controllers: string[];
  keys: Pick<KeyRing, 'seedFor'>;
  /** First level of the topics of discovery messages; without it there are none. */
  discovery?: string;
  /** Anyone who can reach the broker may read the notice, and a controller needs no password until it shows one. */
  isOpen: boolean;
  /** Controllers that need no password until they show one, wherever the broker listens. */
  old?: readonly string[];
  /** Keeps which controllers have shown their password; without it that is forgotten with the broker. */
  memory?: Memory;
}

/** A client as it asks to log in. */
export interface Asking {
  clientId: string;
  user?: string | undefined;
  password?: string | undefined;
}

/** Who it is, and whether its password shows it; or why it may not log in. */
export type Answer = { party: Party; isProven: boolean } | { refusal: string; isPassword: boolean };

const READER = /^reader-[a-z0-9-]{1,24}$/;
const PLATFORM = /^platform-[a-z0-9-]{1,24}$/;
const PROVEN = 'brokerPasswordsSeen';

/** Name and password of a user: the host, a controller's client id, or `reader-` or `platform-` and a name. */
export function loginOf(keys: Pick<KeyRing, 'seedFor'>, user: string): Login {
  const bytes = keys.seedFor(`broker login ${user}`).subarray(0, 16);
  return { user, password: Buffer.from(bytes).toString('base64url') };
}

/** User name of a reader, a display for instance. @throws Error with one sentence for an unusable name. */
export function readerUser(name: string): string {
  const user = `reader-${name}`;
  if (READER.test(user)) return user;
  throw new Error(`${JSON.stringify(name)} cannot be a reader's name; use 1 to 24 of a-z, 0-9 and "-".`);
}

/** User name of a platform that finds everything by itself. @throws Error with one sentence for an unusable name. */
export function platformUser(name: string): string {
  const user = `platform-${name}`;
  if (PLATFORM.test(user)) return user;
  throw new Error(`${JSON.stringify(name)} cannot be a platform's name; use 1 to 24 of a-z, 0-9 and "-".`);
}

function isSame(one: string, other: string): boolean {
  const hash = (text: string) => createHash('sha256').update(text).digest();
  return timingSafeEqual(hash(one), hash(other));
}

/** Ids of the controllers that have shown their password. */
export function passwordsSeen(memory: Pick<Memory, 'recall'> | undefined): Set<string> {
  return new Set((memory?.recall(PROVEN) ?? '').split(' ').filter(Boolean));
}

class Logins {
  private readonly proven: Set<string>;

  constructor(private readonly o: LoginOptions) {
    this.proven = passwordsSeen(o.memory);
  }

  /** Decides about one log-in. */
  answer(asking: Asking): Answer {
    const { user = '', clientId } = asking;
    const party = this.partyOf(user);
    if (!party) return this.withoutPassword(clientId);
    if (!isSame(asking.password ?? '', loginOf(this.o.keys, user).password))
      return { refusal: `user ${shown(user)} gave a wrong password`, isPassword: true };
    if (!this.fits(party, asking))
      return {
        refusal: `user ${shown(user)} may not use the client id ${shown(clientId)}`,
        isPassword: false,
      };
    if (party.kind === 'controller') this.note(party.controller);
    return { party, isProven: true };
  }

  private partyOf(user: string): Party | undefined {
    const { site, controllers, discovery } = this.o;
    const more = discovery === undefined ? {} : { discovery };
    if (user === HOST_CLIENT) return { kind: 'host', ...more };
    if (READER.test(user)) return { kind: 'reader' };
    if (PLATFORM.test(user)) return { kind: 'platform', ...more };
    const controller = controllerOfClient(user, site, controllers);
    return controller === undefined ? undefined : { kind: 'controller', controller };
  }

  /** True if only the host or a controller may use this client id. */
  isTaken(clientId: string): boolean {
    return (
      clientId.startsWith(HOST_CLIENT) ||
      controllerOfClient(clientId, this.o.site, this.o.controllers) !== undefined
    );
  }

  private fits(party: Party, { user, clientId }: Asking): boolean {
    if (party.kind === 'host') return clientId.startsWith(HOST_CLIENT);
    return party.kind === 'controller' ? clientId === user : !this.isTaken(clientId);
  }

  private withoutPassword(clientId: string): Answer {
    const { site, controllers, isOpen, old = [] } = this.o;
    const refused = (refusal: string): Answer => ({ refusal, isPassword: true });
    if (clientId.startsWith(HOST_CLIENT)) return refused(`${shown(clientId)} is not the host of this site`);
    const controller = controllerOfClient(clientId, site, controllers);
    if (controller === undefined)
      return isOpen
        ? { party: { kind: 'guest' }, isProven: false }
        : refused(`client ${shown(clientId)} has no password`);
    if (this.proven.has(controller))
      return refused(`controller ${controller} has a password, but somebody logged in as it without`);
    if (isOpen || old.includes(controller))
      return { party: { kind: 'controller', controller }, isProven: false };
    return refused(
      `controller ${controller} logged in without a password; commission it again, or start with --trusted-network`,
    );
  }

  private note(controller: string): void {
    if (this.proven.has(controller)) return;
    this.proven.add(controller);
    this.o.memory?.remember(PROVEN, [...this.proven].join(' '));
  }
}

/** What the controllers of all sites are called like: site and controller with a dot. */
const CONTROLLER_ID = /^([a-z0-9-]+)\.[^.]+$/;

/** A client as a broker for several sites knows it: that of a guest is ''. */
export type SiteAnswer = Exclude<Answer, { refusal: string }> & { site: string };

/**
 * Who a client of a broker for several sites is. Each site has passwords of its own, so a password also says for which
 * site the host or a reader comes.
 */
export class SiteLogins {
  private readonly sites = new Map<string, Logins>();

  /** Lets in the clients of a site. */
  add(o: LoginOptions): void {
    this.sites.set(o.site, new Logins(o));
  }

  remove(site: string): void {
    this.sites.delete(site);
  }

  all(): string[] {
    return [...this.sites.keys()];
  }

  /** Decides about one log-in. */
  answer(asking: Asking): SiteAnswer | Extract<Answer, { refusal: string }> {
    const [site, more] = (asking.user || asking.clientId).split('.');
    const own = more === undefined ? undefined : this.sites.get(site);
    const asked: [string, Logins][] = own ? [[site, own]] : [...this.sites];
    const answers = asked.map(([name, logins]): [string, Answer] => [name, logins.answer(asking)]);
    const found = answers.find(([, one]) => 'party' in one);
    if (!found) {
      const [, refused] = answers[0] ?? ['', { refusal: 'there is no site to log in to', isPassword: false }];
      return refused as Extract<Answer, { refusal: string }>;
    }
    const { party, isProven } = found[1] as Extract<Answer, { party: Party }>;
    const [, building] = CONTROLLER_ID.exec(asking.clientId) ?? [];
    // As a guest it would wait in vain; refused it tries again until its building is served.
    if (party.kind === 'guest' && building !== undefined && !this.sites.has(building))
      return { refusal: `the building of ${shown(asking.clientId)} is not served`, isPassword: false };
    const isOther = party.kind !== 'host' && party.kind !== 'controller';
    if (isOther && [...this.sites.values()].some((one) => one.isTaken(asking.clientId)))
      return { refusal: `nobody else may use the client id ${shown(asking.clientId)}`, isPassword: false };
    return { party, isProven, site: party.kind === 'guest' ? '' : found[0] };
  }
}
