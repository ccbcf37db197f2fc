// The two chains of a log book, as arithmetic: the log book's own over all entries, and each controller's
// from record to record. Nothing here reads a file.
import { textField } from '../../firmware/contract/fields';
import { sha256Hex } from '../keys';

/** Hash before the first entry. */
export const NO_HASH = '0'.repeat(64);
/** `prev` of the first record of a journal. */
export const NO_PREV = '0'.repeat(32);

/** Hash of an entry: SHA-256 over the previous hash, the address and the body, hex. */
export function entryHash(before: string, address: string, body: string): string {
  return sha256Hex(`${before}\n${address}\n${body}`);
}

/** What the next record of the same journal must carry as `prev`: `chainHash` of the text in UTF-8. */
export function linkOf(body: string): string {
  return sha256Hex(body).slice(0, NO_PREV.length);
}

/** The link a record carries, '' if none. */
export function prevOf(body: string): string {
  return textField(body, 'prev');
}

/** Journal and number of the record that a kept entry contradicts, with a blank between. */
export function keptOf(body: string): string {
  return textField(body, 'of');
}
