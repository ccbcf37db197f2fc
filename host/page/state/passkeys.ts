// Passkeys of this device: the questions to the host and to the browser. Never throws: a failure is an answer too.
import { startAuthentication, startRegistration } from '@simplewebauthn/browser';
import type { AccountOutcome } from '../../api/accounts';
import type { PasskeyOffer, PasskeyView } from '../../api/passkeys';
import { t } from '../tongues/tongue';
import { ask, post } from './host';

export function askPasskeys(): Promise<PasskeyView[]> {
  return ask('/api/passkeys');
}

export function removePasskey(id: string, password: string): Promise<AccountOutcome> {
  return post('/api/passkeys/remove', { id, password });
}

/** Has the browser answer what the host offers, and the host judge that. */
async function answered(
  offer: PasskeyOffer,
  browser: (options: string) => Promise<object>,
  send: (response: string) => Promise<AccountOutcome>,
): Promise<AccountOutcome> {
  if (!offer.ok || offer.options === undefined) return offer;
  let response: string;
  try {
    response = JSON.stringify(await browser(offer.options));
  } catch {
    // Somebody chose "cancel", or there is none for this page: browsers do not tell which.
    return { ok: false, answer: t.passkeys.none };
  }
  return send(response);
}

export async function addPasskey(name: string, password: string): Promise<AccountOutcome> {
  return answered(
    await post('/api/passkeys/options', { password }),
    (options) => startRegistration({ optionsJSON: JSON.parse(options) }),
    (response) => post('/api/passkeys', { name, response }),
  );
}

export async function signInWithPasskey(): Promise<AccountOutcome> {
  return answered(
    await post('/api/session/passkey/options', {}),
    (options) => startAuthentication({ optionsJSON: JSON.parse(options) }),
    (response) => post('/api/session/passkey', { response }),
  );
}
