// Has a time stamp server stamp the checkpoints: RFC 3161 (2001), section 3.4, time stamps over HTTP.

import { randomBytes } from 'node:crypto';
import { bodyOf } from '../bounded';
import { sha256Raw } from '../keys';
import type { CheckpointBook } from '../logbook/checkpoints';
import { FormatError, utf8 } from '../proof/bytes';
import { parseNote } from '../proof/note';
import { stampedTime, timeStampRequest } from '../proof/timeStamp';
import { type Errand, type ErrandOutcome, newErrand } from './errand';

/** Longest reply that is kept, bytes: a token with a chain of certificates has some 6,000. */
const REPLY_MAX = 64 * 1024;
const NONCE_BYTES = 8;

export interface StamperOptions {
  url: string;
  book: Pick<CheckpointBook, 'checkpoints'>;
  /** Longest wait for the server, ms. */
  patienceMs: number;
  /** UTC second. */
  now(): number;
}

/** A nonce whose DER is its own bytes: positive, without a leading zero. */
function newNonce(): Uint8Array {
  const nonce = new Uint8Array(randomBytes(NONCE_BYTES));
  nonce[0] = (nonce[0] & 0x7f) | 0x40;
  return nonce;
}

async function ask({ url, patienceMs }: StamperOptions, request: Uint8Array): Promise<Uint8Array> {
  const response = await fetch(url, {
    method: 'POST',
    headers: { 'Content-Type': 'application/timestamp-query' },
    body: new Uint8Array(request),
    redirect: 'error',
    signal: AbortSignal.timeout(patienceMs),
  });
  if (response.status !== 200) throw new FormatError(`it answered with status ${response.status}`);
  return bodyOf(response, REPLY_MAX);
}

/** Takes each checkpoint to a time stamp server and stores its reply, if that is about this checkpoint. */
export function newStamper(o: StamperOptions): Errand {
  return newErrand(o.url, async ({ size, text }): Promise<ErrandOutcome> => {
    const digest = sha256Raw(utf8(parseNote(text).text));
    const nonce = newNonce();
    try {
      const token = await ask(o, timeStampRequest(digest, nonce));
      const timeSec = stampedTime(token, digest, nonce);
      await o.book.checkpoints.stamp(size, { url: o.url, at: o.now(), token });
      return { outcome: 'signed', timeSec };
    } catch (error) {
      const why = (error as { cause?: Error }).cause?.message ?? (error as Error).message;
      return { outcome: 'failed', why: `No time stamp came from ${o.url}: ${why}.` };
    }
  });
}
