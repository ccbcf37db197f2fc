// Passkeys (W3C Web Authentication): made by whoever has just given the password, and good in its place from then on. The
// device asks for its own lock each time. Loaded only where somebody uses one.
import type { AccountOutcome, Person } from '../api/accounts';
import type { PasskeyOffer, PasskeyRequest, PasskeyView } from '../api/passkeys';
import { type HostClock, nowSec } from '../clock';
import { tidyText } from '../words/freeText';
import { isWho, NAME_RULE } from '../words/person';
import { type Account, type Decided, stateOf, withPasskeys } from './account';
import { type Changes, ENDED, refusal, refused } from './changes';
import { ANSWER_SEC, OpenQuestions } from './openQuestions';
import { networkOf } from './patience';
import type { AccountStore } from './store';

export interface Passkey {
  /** As the browser names it, base64url. */
  id: string;
  account: string;
  name: string;
  /** COSE. */
  key: Uint8Array<ArrayBuffer>;
  /** Uses that the device has counted; 0 for one that counts none. */
  counter: number;
  host: string;
  /** UTC seconds. */
  made: number;
  used: number;
}

/** Where a page was asked for: a passkey is good at one host name only. */
export interface Place {
  host: string;
  origin: string;
}

export interface PasskeysOptions {
  store: AccountStore;
  clock: HostClock;
  changes: Changes;
}

/** What a browser sends is checked by the library; what is no JSON is no answer. */
function readAnswer(text: string) {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

/** Passkeys of one account. */
const PASSKEYS_MAX = 20;

const NOT_MADE = 'The device has made no passkey that this host can use. Try again.';

export class Passkeys {
  private readonly adding = new OpenQuestions();
  private readonly entering = new OpenQuestions();

  constructor(private readonly o: PasskeysOptions) {}

  list(account: string): PasskeyView[] {
    return this.of(account).map(({ id, name, host, made, used }) => ({ id, name, host, made, used }));
  }

  private of(account: string): Passkey[] {
    return this.o.store.passkeys().filter((one) => one.account === account);
  }

  /** What a browser needs to make one, for somebody who has just given the password. */
  async offer({ id, name }: Person, { host }: Place): Promise<PasskeyOffer> {
    const { generateRegistrationOptions } = await import('@simplewebauthn/server');
    const options = await generateRegistrationOptions({
      ...{
        rpName: 'Nightproof',
        rpID: host,
        userName: id,
        userDisplayName: name,
        timeout: ANSWER_SEC * 1000,
      },
      excludeCredentials: this.of(id).map((one) => ({ id: one.id })),
      authenticatorSelection: { residentKey: 'required', userVerification: 'required' },
    });
    this.adding.add(options.challenge, `${id} ${host}`, id, this.now());
    return { ok: true, answer: 'The device asks for its lock now.', options: JSON.stringify(options) };
  }

  /** Keeps the passkey that a device has made. */
  async add(person: Person, wish: PasskeyRequest, { host, origin }: Place): Promise<AccountOutcome> {
    const name = tidyText(wish.name);
    if (!isWho(name)) return refused(`Say which device it is, in ${NAME_RULE}.`);
    const { verifyRegistrationResponse } = await import('@simplewebauthn/server');
    const proof = await verifyRegistrationResponse({
      ...{ response: readAnswer(wish.response), expectedOrigin: origin, expectedRPID: host },
      expectedChallenge: (sent) => this.adding.take(sent, `${person.id} ${host}`, this.now()),
    }).catch(() => undefined);
    if (!proof?.verified) return refused(NOT_MADE);
    const { id, publicKey, counter } = proof.registrationInfo.credential;
    const now = this.now();
    const fresh = { id, name, key: publicKey, counter, host, account: person.id, made: now, used: 0 };
    return this.settle(person, 'passkey', () => {
      if (this.of(person.id).length >= PASSKEYS_MAX)
        return `An account has at most ${PASSKEYS_MAX} passkeys.`;
      if (this.o.store.passkey(id)) return 'This passkey is there already.';
      this.o.store.putPasskey(fresh);
      return '';
    });
  }

  remove(person: Person, id: string): Promise<AccountOutcome> {
    return this.settle(person, 'passkey removed', () => {
      if (this.o.store.passkey(id)?.account !== person.id) return 'There is no such passkey.';
      this.o.store.removePasskey(id);
      return '';
    });
  }

  /**
   * Removes all of an account, in the change by which it begins anew: others may have added one. @returns whether there were any
   */
  end(account: string): boolean {
    const had = this.of(account).length > 0;
    this.o.store.removePasskeys(account);
    return had;
  }

  private settle(
    person: Person,
    did: 'passkey' | 'passkey removed',
    work: () => string,
  ): Promise<AccountOutcome> {
    const decide = (): Decided => {
      const account = this.o.store.of(person.id);
      if (!account || stateOf(account) !== 'active') return refusal(ENDED);
      const why = work();
      return why === '' ? withPasskeys(account, did) : refusal(why);
    };
    return this.o.changes.settle(decide, person, (_, outcome) => outcome);
  }

  /** What a browser needs to sign somebody in. @param address network address of who asks, whoever it is */
  async ask({ host }: Place, address: string): Promise<PasskeyOffer> {
    const { generateAuthenticationOptions } = await import('@simplewebauthn/server');
    const wish = { rpID: host, userVerification: 'required', timeout: ANSWER_SEC * 1000 } as const;
    const options = await generateAuthenticationOptions(wish);
    this.entering.add(options.challenge, host, networkOf(address), this.now());
    return { ok: true, answer: 'The device asks for its lock now.', options: JSON.stringify(options) };
  }

  /** The account whose passkey has answered; undefined if the answer is not accepted. */
  async owner(response: string, { host, origin }: Place): Promise<Account | undefined> {
    const { store } = this.o;
    const answer = readAnswer(response);
    const id: unknown = answer?.id;
    const passkey = typeof id === 'string' ? store.passkey(id) : undefined;
    if (!passkey || passkey.host !== host) return undefined;
    const { verifyAuthenticationResponse } = await import('@simplewebauthn/server');
    const { key: publicKey, counter } = passkey;
    const proof = await verifyAuthenticationResponse({
      ...{
        response: answer,
        expectedOrigin: origin,
        expectedRPID: host,
        credential: { id: passkey.id, publicKey, counter },
      },
      expectedChallenge: (sent) => this.entering.take(sent, host, this.now()),
    }).catch(() => undefined);
    if (!proof?.verified) return undefined;
    const account = store.of(passkey.account);
    if (!account || stateOf(account) !== 'active') return undefined;
    const used = { ...passkey, counter: proof.authenticationInfo.newCounter, used: this.now() };
    try {
      const isStill = store.change(() => {
        // It may have been removed, or used again, meanwhile.
        if (store.passkey(passkey.id)?.counter !== counter) return false;
        store.putPasskey(used);
        return true;
      });
      if (!isStill) return undefined;
    } catch {
      // A full disk keeps nobody from restoring a supply.
    }
    return account;
  }

  private now(): number {
    return nowSec(this.o.clock);
  }
}
