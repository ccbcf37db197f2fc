// Access tokens of programs that cannot sign in: what becomes of them, and what each may do; pure. Times are UTC seconds.
import { TOKEN_DAYS_MAX, type TokenChange, type TokenScope, type TokenView } from '../api/tokens';
import { tidyText } from '../words/freeText';
import { isWho, NAME_RULE } from '../words/person';
import type { Account } from './account';

/** As it is kept; its state follows from that and the time. */
export interface AccessToken extends Omit<TokenView, 'state'> {
  /** SHA-256 of the token, hex. */
  hash: string;
  isWithdrawn: boolean;
}

export type TokenDecided = { token: AccessToken; change: TokenChange } | { refusals: string[] };

/** Tokens that are good at the same time: more than the programs of a building, few enough to look through. */
export const TOKENS_MAX = 50;
/** A use is noted no more often than this: each is a write. */
const NOTED_SEC = 3600;
/** How long one that is no longer good is kept, to say which it was when it is tried again. */
export const KEPT_SEC = 365 * 86_400;

function change(token: AccessToken, did: TokenChange['did']): TokenDecided {
  const { id, name, scope, until } = token;
  return { token, change: { token: id, name, scope, did, until } };
}

/** By how much a clock may be put back, as clocks are set right, s. */
const BACK_SEC = 300;

/**
 * Why a token is good for nothing; 'active' if it is good. One that has ended does not come back with a clock that is behind,
 * and one whose maker could make none now is good for nothing.
 * @param maker the account of who made it
 */
export function tokenState(token: AccessToken, maker: Account | undefined, now: number): TokenView['state'] {
  if (token.isWithdrawn) return 'withdrawn';
  if (now >= token.until) return 'expired';
  if (now + BACK_SEC < Math.max(token.made, token.used)) return 'the clock is behind';
  if (token.by === '') return 'active';
  if (!maker || maker.isDisabled) return 'its maker is disabled';
  return maker.role === 'administrator' ? 'active' : 'its maker is no administrator';
}

export function decideToken(
  all: readonly AccessToken[],
  wish: { name: string; scope: TokenScope; days: number },
  fresh: Pick<AccessToken, 'hash' | 'id' | 'by'>,
  now: number,
): TokenDecided {
  const name = tidyText(wish.name);
  const good = all.filter(({ isWithdrawn, until }) => !isWithdrawn && now < until);
  const refusals = [
    isWho(name) ? '' : `Say what the token is for, in ${NAME_RULE}: it stands in the log book.`,
    Number.isInteger(wish.days) && wish.days >= 1 && wish.days <= TOKEN_DAYS_MAX
      ? ''
      : `A token is good for 1 to ${TOKEN_DAYS_MAX} days.`,
    good.length < TOKENS_MAX ? '' : `There are ${TOKENS_MAX} tokens already; withdraw one that nobody needs.`,
  ].filter((sentence) => sentence !== '');
  if (refusals.length > 0) return { refusals };
  const { scope, days } = wish;
  return change(
    { ...fresh, name, scope, made: now, until: now + days * 86_400, used: 0, isWithdrawn: false },
    'made',
  );
}

export function decideWithdrawal(all: readonly AccessToken[], id: string): TokenDecided {
  const token = all.find((one) => one.id === id.trim().toLowerCase());
  if (!token) return { refusals: [`There is no access token ${id.slice(0, 40)}.`] };
  if (token.isWithdrawn) return { refusals: [`The access token ${token.id} is withdrawn already.`] };
  return change({ ...token, isWithdrawn: true }, 'withdrawn');
}

/** The token after a use, if that is worth noting. */
export function tokenUsed(token: AccessToken, now: number): AccessToken | undefined {
  return now - token.used >= NOTED_SEC ? { ...token, used: now } : undefined;
}
