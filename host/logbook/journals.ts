// The chain of each controller's journals, from record to record. What is wrong in one says nothing of another,
// nor of the log book's own chain.
import { linkOf, NO_PREV, prevOf } from './chain';
import type { Fault } from './fault';
import type { Entry } from './logbook';

interface Tail {
  /** No record is missing up to here. */
  through: number;
  /** Records beyond, by number. */
  ahead: Set<number>;
  /** Links still waiting for the record after them, by the number of that record. */
  expects: Map<number, string>;
  /** Links carried by records whose predecessor has not appeared yet, by the record's number. */
  carries: Map<number, { link: string; entry: number }>;
}

export interface Journals {
  take(entry: Entry): void;
  /** Says what is missing, once all entries were taken. */
  finish(): void;
}

export function recordName(e: Pick<Entry, 'address' | 'journal' | 'seq'>): string {
  return `record ${e.seq} of journal ${e.journal} of ${e.address}`;
}

/** A break in a journal: between the record `seq` and the one before it. */
export type Broken = Pick<Entry, 'address' | 'journal' | 'seq'>;

class Walk implements Journals {
  private readonly tails = new Map<string, Tail>();

  constructor(private readonly add: (fault: Fault, broken?: Broken) => void) {}

  take(e: Entry): void {
    const name = `${e.address} ${e.journal}`;
    let tail = this.tails.get(name);
    if (!tail) {
      tail = { through: 0, ahead: new Set(), expects: new Map([[1, NO_PREV]]), carries: new Map() };
      this.tails.set(name, tail);
    }
    if (e.seq <= tail.through || tail.ahead.has(e.seq)) {
      this.fail(e.entry, `Entry ${e.entry} repeats ${recordName(e)}.`);
      return;
    }
    this.advance(tail, e.seq);
    this.checkBefore(tail, e);
    this.checkAfter(tail, e);
  }

  finish(): void {
    for (const [name, { through, carries, ahead }] of this.tails) {
      const [address, journal] = name.split(' ');
      let before = through;
      for (const seq of [...ahead].sort((a, b) => a - b)) {
        const entry = carries.get(seq)?.entry;
        if (entry !== undefined && seq > before + 1)
          this.fail(
            entry,
            `The log book lacks ${rangeName(before + 1, seq - 1)} of journal ${journal} of ${address}, which ` +
              `${seq - 1 > before + 1 ? 'come' : 'comes'} before entry ${entry}.`,
          );
        before = seq;
      }
    }
  }

  private fail(entry: number, why: string, broken?: Broken): void {
    this.add({ part: 'controller', entry, why }, broken);
  }

  private advance(tail: Tail, seq: number): void {
    if (seq !== tail.through + 1) tail.ahead.add(seq);
    else tail.through = seq;
    while (tail.ahead.delete(tail.through + 1)) tail.through++;
  }

  /** Does it follow from the record before it, if that has appeared already? */
  private checkBefore(tail: Tail, e: Entry): void {
    const carried = prevOf(e.body);
    const expected = tail.expects.get(e.seq);
    tail.expects.delete(e.seq);
    if (expected === undefined) tail.carries.set(e.seq, { link: carried, entry: e.entry });
    else if (expected !== carried)
      this.fail(e.entry, `Entry ${e.entry}, ${recordName(e)}, does not follow from the record before it.`, e);
  }

  /** Does the record after it, if that came first, follow from it? */
  private checkAfter(tail: Tail, e: Entry): void {
    const link = linkOf(e.body);
    const next = tail.carries.get(e.seq + 1);
    tail.carries.delete(e.seq + 1);
    if (!next) tail.expects.set(e.seq + 1, link);
    else if (next.link !== link) {
      const why = `Entry ${next.entry} does not follow from ${recordName(e)}, the record before it.`;
      this.fail(next.entry, why, { ...e, seq: e.seq + 1 });
    }
  }
}

function rangeName(from: number, to: number): string {
  return from === to ? `record ${from}` : `records ${from} to ${to}`;
}

/** Walks the journals of all controllers; `add` is also given where in a journal the break is. */
export function journalWalk(add: (fault: Fault, broken?: Broken) => void): Journals {
  return new Walk(add);
}
