// Where access tokens are made, withdrawn and shown: the decisions of token.ts on the store.
import { randomBytes } from 'node:crypto';
import type { TokenOutcome, TokenRequest, TokenScope, TokenView } from '../api/tokens';
import { type HostClock, nowSec } from '../clock';
import { doneWords, owedEntry, refused, type Signer } from './changes';
import { newToken, tokenHash } from './password';
import { networkOf } from './patience';
import type { AccountStore } from './store';
import { type AccessToken, decideToken, decideWithdrawal, KEPT_SEC, tokenState, tokenUsed } from './token';

export interface TokensOptions {
  store: AccountStore;
  clock: HostClock;
  /** Enters what the log book is to have. @returns why not all of it; '' if it has all */
  deliver(): Promise<string>;
  /** Tells the people at the host. */
  tell?(sentence: string): void;
}

/** So that people, and programs that look for secrets in the wrong places, know one when they see it. */
const MARK = 'nightproof_';
/** Different refusals told until the host starts again. */
const TOLD_MAX = 100;

export class Tokens {
  private readonly told = new Set<string>();

  constructor(private readonly o: TokensOptions) {}

  list(): TokenView[] {
    return this.o.store.tokens().map((token) => {
      const { id, name, scope, by, made, until, used } = token;
      return { id, name, scope, by, made, until, used, state: this.stateOf(token) };
    });
  }

  /** Makes or withdraws one, on behalf of an administrator or of somebody at the host's own machine. */
  async change(wish: TokenRequest, by: Signer): Promise<TokenOutcome> {
    const { store } = this.o;
    const secret = `${MARK}${newToken().token}`;
    const fresh = { hash: tokenHash(secret), id: randomBytes(4).toString('hex'), by: by.id };
    const now = this.now();
    try {
      const decided = store.change(() => {
        const made =
          wish.do === 'make'
            ? decideToken(store.tokens(), wish, fresh, now)
            : decideWithdrawal(store.tokens(), wish.token);
        if ('refusals' in made) return made;
        store.thinTokens(now - KEPT_SEC);
        store.putToken(made.token);
        store.owe(owedEntry(made.change, by));
        return made;
      });
      if ('refusals' in decided) return refused(decided.refusals.join(' '));
      const answer = doneWords(`access token ${decided.token.id}`, await this.o.deliver());
      return { ok: true, answer, ...(wish.do === 'make' && { secret }) };
    } catch (error) {
      return refused(`Nothing was changed. ${(error as Error).message}`);
    }
  }

  /**
   * The token that was sent, if it is good for one of `scopes`; otherwise why not, which is told once.
   * @param address where it came from
   */
  use(sent: string, scopes: readonly TokenScope[], address: string): AccessToken | { refusal: string } {
    const { store } = this.o;
    const token = store.tokenOf(tokenHash(sent));
    if (!token) return this.refuse('This access token is not known here.', '', address);
    const state = this.stateOf(token);
    if (state !== 'active') return this.refuse(refusalWords(token, state), token.id, address);
    if (!scopes.includes(token.scope))
      return this.refuse(`The access token ${token.id} is for ${token.scope} only.`, token.id, address);
    const used = tokenUsed(token, this.now());
    if (used) store.useToken(used);
    return token;
  }

  /** True while it is good. */
  isGood({ hash }: AccessToken): boolean {
    const present = this.o.store.tokenOf(hash);
    return present !== undefined && this.stateOf(present) === 'active';
  }

  private stateOf(token: AccessToken): TokenView['state'] {
    return tokenState(token, this.o.store.of(token.by), this.now());
  }

  private refuse(refusal: string, id: string, address: string): { refusal: string } {
    const about = `${refusal} ${id === '' ? networkOf(address) : ''}`;
    if (!this.told.has(about) && this.told.size < TOLD_MAX) {
      this.told.add(about);
      this.o.tell?.(`A request from ${address || 'an unknown address'} was refused. ${refusal}`);
    }
    return { refusal };
  }

  private now(): number {
    return nowSec(this.o.clock);
  }
}

function refusalWords({ id, by }: AccessToken, state: Exclude<TokenView['state'], 'active'>): string {
  const token = `The access token ${id}`;
  return {
    withdrawn: `${token} was withdrawn.`,
    expired: `${token} is too old.`,
    'the clock is behind': `The clock of the host is behind the time at which the access token ${id} was made or used last.`,
    'its maker is disabled': `${token} was made by the account ${by}, which is disabled.`,
    'its maker is no administrator': `${token} was made by the account ${by}, which is no administrator.`,
  }[state];
}
