// The two chains of a log book, as arithmetic: the log book's own over all entries, and each
// controller's from record to record. Nothing here reads a file.
import { createHash } from 'node:crypto';
import { intField, textField } from '../../firmware/contract/fields';
import { chainHash, isSealed } from '../../firmware/contract/seal';
import { type KeyRing, sha256 } from '../keys';
import type { Entry } from './logbook';

/** Hash before the first entry. */
export const NO_HASH = '0'.repeat(64);
/** `prev` of the first record of a journal. */
export const NO_PREV = '0'.repeat(32);

/** Hash of an entry: SHA-256 over the hash before, the address and the body, hex. */
export function entryHash(before: string, address: string, body: string): string {
  return createHash('sha256').update(`${before}\n${address}\n${body}`).digest('hex');
}

/** What the next record of the same journal must carry as `prev`. */
export function linkOf(body: string): string {
  return chainHash(sha256, body);
}

/** The link a record carries, '' when it carries none. */
export function prevOf(body: string): string {
  return textField(body, 'prev');
}

interface JournalTail {
  /** Links still waiting for the record after them, by the number of that record. */
  expects: Map<number, string>;
  /** Links carried by records whose predecessor has not come up yet, by the record's number. */
  carries: Map<number, { link: string; entry: number }>;
}

export interface ChainWalk {
  /** Takes the next entry in order; false once something is broken. */
  take(entry: Entry): boolean;
  /** The first broken record, or what is still missing at the end. */
  finish(): { entry: number; why: string } | undefined;
  /** What is broken so far; unlike `finish` it does not mind a record that may still be on its way. */
  broken(): { entry: number; why: string } | undefined;
  entries(): number;
  hash(): string;
}

function nameOf(e: Pick<Entry, 'address' | 'journal' | 'seq'>): string {
  return `record ${e.seq} of journal ${e.journal} of ${e.address}`;
}

/** The columns the log book is searched by are not hashed themselves, so they must repeat the body. */
function columnsFit(e: Entry): boolean {
  const utc = intField(e.body, 'utc', 0);
  return (
    textField(e.body, 'journal') === e.journal &&
    intField(e.body, 'seq', 0) === e.seq &&
    textField(e.body, 'kind') === e.kind &&
    intField(e.body, 'test', 0) === e.test &&
    (utc === 0 || utc === e.at)
  );
}

/** Walks the entries of a log book once, oldest first, and stops at the first that is broken. */
export function chainWalk(keys?: KeyRing): ChainWalk {
  const journals = new Map<string, JournalTail>();
  let count = 0;
  let hash = NO_HASH;
  let broken: { entry: number; why: string } | undefined;

  const fail = (entry: number, why: string): boolean => {
    broken ??= { entry, why };
    return false;
  };

  const checkLinks = (e: Entry): boolean => {
    const name = `${e.address} ${e.journal}`;
    const link = linkOf(e.body);
    const carried = prevOf(e.body);
    let tail = journals.get(name);
    if (!tail) {
      tail = { expects: new Map([[1, NO_PREV]]), carries: new Map() };
      journals.set(name, tail);
    }
    const expected = tail.expects.get(e.seq);
    if (expected === undefined) tail.carries.set(e.seq, { link: carried, entry: e.entry });
    else if (expected !== carried)
      return fail(e.entry, `Entry ${e.entry}, ${nameOf(e)}, does not follow from the record before it.`);
    else tail.expects.delete(e.seq);
    const next = tail.carries.get(e.seq + 1);
    if (!next) tail.expects.set(e.seq + 1, link);
    else if (next.link !== link)
      return fail(next.entry, `Entry ${next.entry} does not follow from ${nameOf(e)}, the record before it.`);
    else tail.carries.delete(e.seq + 1);
    return true;
  };

  return {
    take(e) {
      if (broken) return false;
      count++;
      if (e.entry !== count)
        return fail(e.entry, `Entry ${count} is missing: the entry after ${count - 1} is ${e.entry}.`);
      if (entryHash(hash, e.address, e.body) !== e.hash)
        return fail(e.entry, `Entry ${e.entry}, ${nameOf(e)}, is not the text that was written.`);
      if (!columnsFit(e))
        return fail(e.entry, `Entry ${e.entry}, ${nameOf(e)}, is filed under something else than it says.`);
      hash = e.hash;
      if (keys && !isSealed(keys.keyOf(e.address), 'record', e.address, e.body))
        return fail(e.entry, `Entry ${e.entry}, ${nameOf(e)}, does not carry its controller's signature.`);
      return checkLinks(e);
    },
    finish() {
      if (broken) return broken;
      for (const [name, tail] of journals) {
        const gap = [...tail.carries].sort((a, b) => a[0] - b[0])[0];
        if (!gap) continue;
        const [address, journal] = name.split(' ');
        const missing = nameOf({ address, journal, seq: gap[0] - 1 });
        return {
          entry: gap[1].entry,
          why: `The log book lacks ${missing}, which entry ${gap[1].entry} follows.`,
        };
      }
      return undefined;
    },
    broken: () => broken,
    entries: () => count,
    hash: () => hash,
  };
}
