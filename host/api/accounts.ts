// People with names: what the page and the host say to each other about accounts. GET /api/session (SessionView), POST
// /api/session (SignInRequest), /api/session/code (CodeRequest), /api/session/prove (ProveRequest), /api/session/end
// (EndRequest), /api/password (PasswordRequest), GET /api/accounts (AccountView[]), POST /api/accounts (AccountRequest).
// Each POST is answered with an AccountOutcome.

/** What somebody may do; each may do all that those before it may. */
export const ROLES = ['viewer', 'electrician', 'responsible person', 'administrator'] as const;
export type Role = (typeof ROLES)[number];

/** Characters of a password: NIST SP 800-63B asks for 8 at least and for room up to 64 (from memory); we ask for more. */
export const PASSWORD_MIN = 12;
export const PASSWORD_MAX = 128;

export type AccountState = 'active' | 'disabled' | 'has no password yet';

export interface AccountView {
  /** 2 to 24 lower-case letters, digits, dots and hyphens. */
  id: string;
  /** Full name, as it stands in the log book. */
  name: string;
  role: Role;
  /** Roles by building where a host serves several; "*" for every other one. */
  at: Readonly<Record<string, Role>>;
  state: AccountState;
}

/** A change of an account, as the log book keeps it. */
export interface AccountChange {
  account: string;
  name: string;
  role: Role | 'none';
  did: 'made' | 'role' | 'disabled' | 'enabled' | 'code' | 'password' | 'passkey' | 'passkey removed';
  /** The role before, where that was changed. */
  before?: Role | 'none';
  /** Those of several whose log books have it, where the role was changed. */
  buildings?: string[];
}

/** Who is signed in. */
export interface Person {
  id: string;
  name: string;
  role: Role;
}

/** Who asks, and whether the page asks for that at all. */
export interface SessionView {
  /** False while no administrator has a password: whoever reaches the page may do everything. */
  asked: boolean;
  /** True if the first administrator may be made here, with the code that the host has printed. */
  first: boolean;
  /** Why nobody can sign in, and what to do; '' if somebody can. */
  trouble: string;
  /** True in a demonstration: its accounts end with it. */
  demonstration: boolean;
  person: Person | null;
  /** True where devices trust the page by the host's own authority, at /trust. */
  ownAuthority: boolean;
  /** True where passkeys can be used: at a host name over TLS, or at localhost. */
  passkeys: boolean;
  /** Account of who is signed in, but has no role in this building; '' for nobody. */
  stranger: string;
}

export interface SignInRequest {
  account: string;
  password: string;
}

/** A one-time code, and the password chosen with it; with a name it makes the first administrator. */
export interface CodeRequest extends SignInRequest {
  code: string;
  name?: string | undefined;
}

/** The password once more, for what takes a supply away. */
export interface ProveRequest {
  password: string;
}

export interface EndRequest {
  /** All sessions of the account, on every device. */
  everywhere: boolean;
}

export interface PasswordRequest {
  old: string;
  password: string;
}

export type AccountRequest =
  | { do: 'make'; account: string; name: string; role: Role; building?: string | undefined }
  | { do: 'role'; account: string; role: Role | 'none'; building?: string | undefined }
  | { do: 'disable' | 'enable' | 'code'; account: string };

export interface AccountOutcome {
  ok: boolean;
  /** Plain words. */
  answer: string;
  /** A one-time code, shown once. */
  code?: string;
}
