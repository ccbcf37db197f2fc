// Passkeys: signing in with what a device keeps, opened by its own lock. GET /api/passkeys (PasskeyView[]), POST
// /api/passkeys/options (ProveRequest), /api/passkeys (PasskeyRequest), /api/passkeys/remove (PasskeyRemoval),
// /api/session/passkey/options (nothing), /api/session/passkey (PasskeySignIn). Options are answered with a PasskeyOffer,
// the rest with an AccountOutcome.
import type { AccountOutcome } from './accounts';

export interface PasskeyView {
  id: string;
  /** Of the device, in its owner's words. */
  name: string;
  /** Host name at which it is good. */
  host: string;
  /** UTC seconds; `used` is 0 if never. */
  made: number;
  used: number;
}

export interface PasskeyOffer extends AccountOutcome {
  /** Options of WebAuthn as JSON, for the browser. */
  options?: string;
}

export interface PasskeyRequest {
  name: string;
  /** What the browser answered, as JSON. */
  response: string;
}

export interface PasskeySignIn {
  /** What the browser answered, as JSON. */
  response: string;
}

export interface PasskeyRemoval {
  id: string;
  password: string;
}
