// A message to a webhook, signed as Standard Webhooks 1.0 says (standardwebhooks.com, 2023): HMAC-SHA-256 over id, time
// and body.
import { createHmac } from 'node:crypto';
import type { AlertMessage } from './alarms';

/** Longest wait for an answer, ms. */
const ANSWER_MS = 10_000;

export interface WebhookAddress {
  url: string;
  /** `whsec_` and base64, or any text; without it nothing is signed. */
  secret?: string;
}

/** The bytes that sign; none if the secret is empty. */
export function keyOf(secret: string): Buffer {
  return secret.startsWith('whsec_') ? Buffer.from(secret.slice(6), 'base64') : Buffer.from(secret);
}

/** The headers of a message. @param at UTC second it is sent */
export function signedHeaders(body: string, id: string, at: number, secret?: string): Record<string, string> {
  const headers = { 'content-type': 'application/json', 'webhook-id': id, 'webhook-timestamp': String(at) };
  if (secret === undefined) return headers;
  const mac = createHmac('sha256', keyOf(secret)).update(`${id}.${at}.${body}`).digest('base64');
  return { ...headers, 'webhook-signature': `v1,${mac}` };
}

/** Posts a message. @throws Error with a reason unless it was answered with 2xx */
export async function postAlert(to: WebhookAddress, message: AlertMessage, at: number): Promise<void> {
  const { building, events } = message;
  const id = events.length > 0 ? `${events[0].id}|${events.length}` : `sign of life|${building}|${at}`;
  const body = JSON.stringify(message);
  const answer = await fetch(to.url, {
    ...{ method: 'POST', body, redirect: 'error', signal: AbortSignal.timeout(ANSWER_MS) },
    headers: signedHeaders(body, id, at, to.secret),
  }).catch((error: Error) => {
    const cause = error.cause as Error | undefined;
    throw new Error(cause?.message || error.message);
  });
  await answer.body?.cancel();
  if (!answer.ok) throw new Error(`it answered ${answer.status}`);
}
