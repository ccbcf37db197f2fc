// Who is signed in here, and what the page sends about accounts. Never throws where it sends: a failure is an answer too.
import type {
  AccountOutcome,
  AccountRequest,
  AccountView,
  CodeRequest,
  EndRequest,
  PasswordRequest,
  ProveRequest,
  SessionView,
  SignInRequest,
} from '../../api/accounts';
import type { NoticeView } from '../../api/notice';
import type { TokenOutcome, TokenRequest, TokenView } from '../../api/tokens';
import { ask, post } from './host';
import type { PageStore } from './store';

export function askSession(): Promise<SessionView> {
  return ask('/api/session');
}

/** The notice, which needs no account. */
export function askNotice(): Promise<NoticeView> {
  return ask('/api/notice');
}

export function askAccounts(): Promise<AccountView[]> {
  return ask('/api/accounts');
}

export function signIn(wish: SignInRequest): Promise<AccountOutcome> {
  return post('/api/session', wish);
}

export function redeemCode(wish: CodeRequest): Promise<AccountOutcome> {
  return post('/api/session/code', wish);
}

export function prove(wish: ProveRequest): Promise<AccountOutcome> {
  return post('/api/session/prove', wish);
}

export function signOut(wish: EndRequest): Promise<AccountOutcome> {
  return post('/api/session/end', wish);
}

export function changePassword(wish: PasswordRequest): Promise<AccountOutcome> {
  return post('/api/password', wish);
}

export function changeAccount(wish: AccountRequest): Promise<AccountOutcome> {
  return post('/api/accounts', wish);
}

export function askTokens(): Promise<TokenView[]> {
  return ask('/api/tokens');
}

export function changeToken(wish: TokenRequest): Promise<TokenOutcome> {
  return post('/api/tokens', wish);
}

/** True if the host answers questions about the building here: nobody has to sign in, or somebody has. */
export function isAdmitted(session: SessionView | null): boolean {
  return session !== null && (!session.asked || session.person !== null);
}

/**
 * Takes what the host says of the session; `hasEnded` if nobody here has ended it. Of a building that one may not see nothing stays on the
 * screen.
 */
export function takeSession(store: PageStore, session: SessionView, hasEnded = false): void {
  store.change((s) => ({
    ...s,
    session,
    sessionEnded: session.person === null && (s.sessionEnded || Boolean(s.session?.person && hasEnded)),
    ...(session.person && { orderedBy: session.person.name }),
    ...(!isAdmitted(session) && {
      ...{ overview: null, building: null, status: null, clock: null, traces: {} },
      linkUp: true,
    }),
  }));
}
