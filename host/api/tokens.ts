// Access tokens, for programs that cannot sign in: what the page and the host say to each other about them. GET
// /api/tokens (TokenView[]), POST /api/tokens (TokenRequest), answered with a TokenOutcome.
import type { AccountOutcome } from './accounts';

/** What a token is good for: one of these, and nothing else. None gives an order that moves a relay. */
export const TOKEN_SCOPES = ['calendar', 'metrics', 'read', 'trace'] as const;
export type TokenScope = (typeof TOKEN_SCOPES)[number];

/** Longest time a token may be good, days. */
export const TOKEN_DAYS_MAX = 730;
export const TOKEN_DAYS = 365;

export type TokenState =
  | 'active'
  | 'expired'
  | 'withdrawn'
  | 'the clock is behind'
  | 'its maker is disabled'
  | 'its maker is no administrator';

export interface TokenView {
  /** Eight hex digits; not secret. */
  id: string;
  /** What it is for, in the words of who made it. */
  name: string;
  scope: TokenScope;
  /** Account of who made it; '' if it was made on the host's machine. */
  by: string;
  /** UTC seconds; `used` is to the hour, and 0 if never. */
  made: number;
  until: number;
  used: number;
  state: TokenState;
}

export type TokenRequest =
  | { do: 'make'; name: string; scope: TokenScope; days: number }
  | { do: 'withdraw'; token: string };

export interface TokenOutcome extends AccountOutcome {
  /** The token itself, shown once. */
  secret?: string;
}

/** What became of a token, as the log book keeps it. */
export interface TokenChange {
  /** Its id. */
  token: string;
  name: string;
  scope: TokenScope;
  did: 'made' | 'withdrawn';
  /** UTC second. */
  until: number;
}
