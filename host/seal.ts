// Texts that a host stores for itself: it believes them only if it signed them.
import { createHmac, timingSafeEqual } from 'node:crypto';
import type { KeyRing } from './keys';

/** What a seal belongs to. */
export interface SealOwner {
  keys: KeyRing;
  site: { id: string };
  /** No seal made for one use is good for another. */
  use: string;
  /** What the text holds for only, in one line. */
  basis?: string;
}

function macOf({ keys, site, use, basis }: SealOwner, text: string): string {
  const secret = Buffer.from(keys.secretOf(`${site.id}/${use}/host`), 'latin1');
  const mac = createHmac('sha256', secret);
  return mac.update(basis === undefined ? text : `${basis}\n${text}`).digest('hex');
}

function isSame(a: string, b: string): boolean {
  return a.length === b.length && timingSafeEqual(Buffer.from(a, 'latin1'), Buffer.from(b, 'latin1'));
}

/** A text of one line with its seal before it. */
export function sealed(owner: SealOwner, text: string): string {
  return `${macOf(owner, text)}\n${text}`;
}

/** The text that was sealed; undefined if it was not, or by or for another owner. */
export function unsealed(owner: SealOwner, stored: string): string | undefined {
  const [mac, text] = stored.split('\n');
  return text !== undefined && isSame(mac, macOf(owner, text)) ? text : undefined;
}
