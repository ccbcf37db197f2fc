// Lets clients into the broker: how many at once and from where, who they are, and what the broker asks of each
// before it does anything for it.
import type { AedesOptions, AuthenticateError, Client } from 'aedes';
import { ofBusiest } from './busiest';
import type { Complaints } from './complaints';
import type { Gate, Trouble } from './gate';
import type { SiteAnswer, SiteLogins } from './logins';
import { type Party, type Published, publishRefusal, shown, subscribeRefusal } from './parties';

export interface PorterLimits {
  /** Most connections from one address, and most that have not logged in; above that one of these goes. */
  perAddress: number;
  unfinished: number;
  /** Most readers of a site, most platforms, and most guests: people without a password take no seat from those with one. */
  readers: number;
  /** What may wait for a reader beyond what may for all, bytes: it gets everything retained at once. */
  readerBytes: number;
  /** Longest keep alive, s: a client that is silent for one and a half times as long is gone. */
  keepAliveSec: number;
  /** Until a refused client hears so, ms: nobody tries passwords faster than that. */
  refusalMs: number;
}

/** CONNACK return codes (MQTT 3.1.1, table 3.1). */
const IDENTIFIER_REJECTED = 2;
const UNAVAILABLE = 3;
const WRONG_PASSWORD = 4;
const NOT_AUTHORIZED = 5;
const CLIENT_ID = /^[A-Za-z0-9/_.-]{1,64}$/;

const TROUBLES: Record<Trouble, string> = {
  'does not read': 'does not read what it has subscribed to',
  'too long': 'sent a packet that is too long',
  'not MQTT': 'does not speak MQTT 3.1.1',
  'no login': 'connected, but did not log in',
};

interface Session {
  client: Client;
  party: Party;
  /** '' for a guest. */
  site: string;
  gate: Gate;
}

function gateOf(client: Client): Gate {
  return client.conn as unknown as Gate;
}

/** The site that a topic names. */
function siteOf(topic: string): string {
  return topic.split('/')[1] ?? '';
}

function named({ id }: Client, party: Party): string {
  return party.kind === 'controller' ? `controller ${party.controller}` : `client ${id}`;
}

function isReading({ kind }: Party): boolean {
  return kind === 'reader' || kind === 'platform';
}

export class Porter {
  private readonly gates = new Set<Gate>();
  /** The newest by client id; and of every client that has logged in, also one that is about to go. */
  private readonly sessions = new Map<string, Session>();
  private readonly parties = new WeakMap<Client, Pick<Session, 'party' | 'site'>>();

  constructor(
    private readonly logins: SiteLogins,
    private readonly limits: PorterLimits,
    private readonly complaints: Complaints,
    /** Whether readers and platforms must show a certificate, and so come by TLS. */
    private readonly wantsCertificates = false,
  ) {}

  /** A new connection; false if its address has too many already. */
  enter(gate: Gate): boolean {
    const { perAddress, unfinished } = this.limits;
    const from = [...this.gates].filter(({ address }) => address === gate.address);
    if (from.length >= perAddress) {
      this.refuse(gate, `too many connections from ${gate.address}`);
      if (!this.makeRoom(from)) return false;
    }
    const waiting = [...this.gates].filter(({ isLoggedIn }) => !isLoggedIn);
    if (waiting.length >= unfinished) {
      this.refuse(gate, 'too many connections that do not log in', 'unfinished');
      this.makeRoom(ofBusiest(waiting, gate));
    }
    this.gates.add(gate);
    gate.once('close', () => this.gates.delete(gate));
    return true;
  }

  /** Ends the one that has waited longest to log in, since honest clients do at once; false if all have. */
  private makeRoom(gates: Gate[]): boolean {
    const longest = gates.find(({ isLoggedIn }) => !isLoggedIn);
    if (!longest) return false;
    this.gates.delete(longest);
    longest.destroy();
    return true;
  }

  /** What a client did that ended its connection. */
  trouble(trouble: Trouble, gate: Gate): void {
    const session = [...this.sessions.values()].find((one) => one.gate === gate);
    const who = session ? `client ${shown(session.client.id)}` : 'something';
    this.refuse(gate, `${who} at ${gate.address} ${TROUBLES[trouble]}, and was disconnected`, trouble);
  }

  /** The rules as the broker asks for them. */
  rules(): Required<
    Pick<AedesOptions, 'preConnect' | 'authenticate' | 'authorizePublish' | 'authorizeSubscribe'>
  > {
    return {
      preConnect: (_client, packet, done) => {
        const { keepAliveSec } = this.limits;
        // Nothing is kept for a client that is away: controllers send again, and the host asks.
        packet.clean = true;
        packet.keepalive = Math.min(packet.keepalive || keepAliveSec, keepAliveSec);
        done(null, true);
      },
      authenticate: (client, user, password, done) => {
        const refusal = this.logIn(client, user, password?.toString());
        if (refusal) setTimeout(() => done(refusal, null), this.limits.refusalMs);
        else done(null, true);
      },
      authorizePublish: (client, packet, done) => {
        const why = client ? this.publishRefusal(client, packet as Published) : '';
        done(why ? this.refuse(gateOf(client as Client), why) : null);
      },
      authorizeSubscribe: (client, subscription, done) => {
        const why = this.subscribeRefusal(client, subscription.topic);
        if (why) this.refuse(gateOf(client), why);
        // No error, but no subscription either: the client gets 0x80 and stays connected.
        done(null, why ? null : subscription);
      },
    };
  }

  /** Ends all clients of a site, which is served no more. */
  leave(site: string): void {
    for (const session of this.sessions.values()) if (session.site === site) session.gate.destroy();
  }

  private partyOf(client: Client): Pick<Session, 'party' | 'site'> {
    return this.parties.get(client) ?? { party: { kind: 'guest' }, site: '' };
  }

  private publishRefusal(client: Client, packet: Published): string {
    const { party, site } = this.partyOf(client);
    return publishRefusal(site || siteOf(packet.topic), party, client.id, packet);
  }

  private subscribeRefusal(client: Client, filter: string): string {
    const { party, site } = this.partyOf(client);
    // A guest may read the notice of each.
    const sites = site === '' ? this.logins.all() : [site];
    const why = sites.map((one) => subscribeRefusal(one, party, client.id, filter));
    return why.includes('') ? '' : (why[0] ?? 'there is no site to read of');
  }

  /** Logs a client in; or returns the error for it. */
  private logIn(client: Client, user?: string, password?: string): AuthenticateError | undefined {
    const gate = gateOf(client);
    const refuse = (returnCode: number, why: string): AuthenticateError =>
      Object.assign(this.refuse(gate, `${why}, from ${gate.address}`), { returnCode });
    if (!CLIENT_ID.test(client.id))
      return refuse(
        IDENTIFIER_REJECTED,
        `a client with the unusable id ${JSON.stringify(shown(client.id))} connected`,
      );
    const answer = this.logins.answer({ clientId: client.id, user, password });
    if ('refusal' in answer)
      return refuse(answer.isPassword ? WRONG_PASSWORD : NOT_AUTHORIZED, answer.refusal);
    const elsewhere = this.placeRefusal(client, answer.party);
    if (elsewhere) return refuse(NOT_AUTHORIZED, elsewhere);
    const before = this.before(client);
    // Two buildings may call their displays alike.
    if (before && isReading(before.party) && isReading(answer.party) && before.site !== answer.site)
      client.id = `${answer.site}:${client.id}`;
    const why = this.seatRefusal(client, answer);
    if (why) return refuse(UNAVAILABLE, why);
    const { party, site } = answer;
    const session = { client, party, site, gate };
    const will = (client as unknown as { _will?: Published })._will;
    const willRefusal = will ? publishRefusal(site || siteOf(will.topic), party, client.id, will) : '';
    if (willRefusal) return refuse(NOT_AUTHORIZED, `a last will was left: ${willRefusal}`);
    this.tellTakeover(session);
    this.sessions.set(client.id, session);
    this.parties.set(client, { party, site });
    gate.once('close', () => {
      if (this.sessions.get(client.id) === session) this.sessions.delete(client.id);
    });
    gate.admit(party.kind === 'host', isReading(party) ? this.limits.readerBytes : 0);
    return undefined;
  }

  /** The connection that a client with this id still has. */
  private before({ id }: Client): Session | undefined {
    const before = this.sessions.get(id);
    return before?.client.closed ? undefined : before;
  }

  /** Why this is not the place where a client logs in, '' if it is. */
  private placeRefusal(client: Client, party: Party): string {
    const { isSecure } = gateOf(client);
    if (isSecure && !isReading(party))
      return `${named(client, party)} logged in by TLS, where only readers and platforms do`;
    if (!isSecure && this.wantsCertificates && isReading(party))
      return `${named(client, party)} logged in without a certificate; readers and platforms do so by TLS only`;
    return '';
  }

  /** Why there is no seat for this client, '' if there is one. */
  private seatRefusal(client: Client, { party, site, isProven }: SiteAnswer): string {
    const before = this.before(client);
    if (before && !isProven && before.gate.address !== gateOf(client).address)
      return `${named(client, party)} is connected from ${before.gate.address} already, and somebody logged in as it without a password`;
    if (party.kind === 'host' || party.kind === 'controller') return '';
    const others = [...this.sessions].filter(
      ([id, one]) => id !== client.id && one.site === site && one.party.kind === party.kind,
    );
    return others.length >= this.limits.readers ? `client ${client.id} is one ${party.kind} too many` : '';
  }

  private tellTakeover({ client, party, gate }: Session): void {
    const before = this.before(client);
    if (!before) return;
    this.complaints.add(
      `again ${client.id}`,
      `The broker: ${named(client, party)} logged in from ${gate.address} while it was connected from ` +
        `${before.gate.address}; the older connection was closed.`,
    );
  }

  private refuse(gate: Gate, why: string, about = why): Error {
    this.complaints.add(`${gate.address} ${about}`, `The broker refused something: ${why}.`);
    return new Error(why);
  }
}
