// The two chains of a log book, as arithmetic: the log book's own over all entries, and each controller's
// from record to record. Nothing here reads a file.
import { createHash } from 'node:crypto';
import { intField, textField } from '../../firmware/contract/fields';
import { chainHash, hasValidSignature } from '../../firmware/contract/signature';
import { type KeyRing, sha256 } from '../keys';
import type { Entry } from './logbook';

/** Hash before the first entry. */
export const NO_HASH = '0'.repeat(64);
/** `prev` of the first record of a journal. */
export const NO_PREV = '0'.repeat(32);

/** Hash of an entry: SHA-256 over the previous hash, the address and the body, hex. */
export function entryHash(before: string, address: string, body: string): string {
  return createHash('sha256').update(`${before}\n${address}\n${body}`).digest('hex');
}

/** What the next record of the same journal must carry as `prev`. */
export function linkOf(body: string): string {
  return chainHash(sha256, body);
}

/** The link a record carries, '' if none. */
export function prevOf(body: string): string {
  return textField(body, 'prev');
}

interface JournalTail {
  /** Links still waiting for the record after them, by the number of that record. */
  expects: Map<number, string>;
  /** Links carried by records whose predecessor has not appeared yet, by the record's number. */
  carries: Map<number, { link: string; entry: number }>;
}

export interface ChainWalk {
  /** Takes the next entry in order; false once something is broken. */
  take(entry: Entry): boolean;
  /** The first broken record, or what is still missing at the end. */
  finish(): { entry: number; why: string } | undefined;
  /** What is broken so far; unlike `finish` it accepts a record that may still be on its way. */
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

class Walk implements ChainWalk {
  private readonly journals = new Map<string, JournalTail>();
  private count = 0;
  private last = NO_HASH;
  private fault: { entry: number; why: string } | undefined;

  constructor(private readonly keys?: KeyRing) {}

  take(e: Entry): boolean {
    if (this.fault) return false;
    this.count++;
    const which = `Entry ${e.entry}, ${nameOf(e)},`;
    if (e.entry !== this.count)
      return this.fail(
        e.entry,
        `Entry ${this.count} is missing: the entry after ${this.count - 1} is ${e.entry}.`,
      );
    if (entryHash(this.last, e.address, e.body) !== e.hash)
      return this.fail(e.entry, `${which} is not the text originally written.`);
    if (!columnsFit(e)) return this.fail(e.entry, `${which} is filed under the wrong record.`);
    this.last = e.hash;
    if (this.keys && !hasValidSignature(this.keys.keyOf(e.address), 'record', e.address, e.body))
      return this.fail(e.entry, `${which} does not carry its controller's signature.`);
    return this.checkBefore(e) && this.checkAfter(e);
  }

  finish(): { entry: number; why: string } | undefined {
    if (this.fault) return this.fault;
    for (const [name, tail] of this.journals) {
      const gap = [...tail.carries].sort((a, b) => a[0] - b[0])[0];
      if (!gap) continue;
      const [seq, { entry }] = gap;
      const [address, journal] = name.split(' ');
      const missing = nameOf({ address, journal, seq: seq - 1 });
      return { entry, why: `The log book lacks ${missing}, which comes before entry ${entry}.` };
    }
    return undefined;
  }

  broken(): { entry: number; why: string } | undefined {
    return this.fault;
  }

  entries(): number {
    return this.count;
  }

  hash(): string {
    return this.last;
  }

  private fail(entry: number, why: string): false {
    this.fault ??= { entry, why };
    return false;
  }

  private tailOf(e: Entry): JournalTail {
    const name = `${e.address} ${e.journal}`;
    let tail = this.journals.get(name);
    if (!tail) {
      tail = { expects: new Map([[1, NO_PREV]]), carries: new Map() };
      this.journals.set(name, tail);
    }
    return tail;
  }

  /** Does it follow from the record before it, if that has appeared already? */
  private checkBefore(e: Entry): boolean {
    const tail = this.tailOf(e);
    const carried = prevOf(e.body);
    const expected = tail.expects.get(e.seq);
    if (expected === undefined) tail.carries.set(e.seq, { link: carried, entry: e.entry });
    else if (expected !== carried)
      return this.fail(e.entry, `Entry ${e.entry}, ${nameOf(e)}, does not follow from the record before it.`);
    else tail.expects.delete(e.seq);
    return true;
  }

  /** Does the record after it, if that came first, follow from it? */
  private checkAfter(e: Entry): boolean {
    const tail = this.tailOf(e);
    const link = linkOf(e.body);
    const next = tail.carries.get(e.seq + 1);
    if (!next) tail.expects.set(e.seq + 1, link);
    else if (next.link !== link)
      return this.fail(
        next.entry,
        `Entry ${next.entry} does not follow from ${nameOf(e)}, the record before it.`,
      );
    else tail.carries.delete(e.seq + 1);
    return true;
  }
}

/** Walks the entries of a log book once, oldest first, and stops at the first that is broken. */
export function chainWalk(keys?: KeyRing): ChainWalk {
  return new Walk(keys);
}
