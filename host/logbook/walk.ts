// One walk over the entries, oldest first: the log book's own chain, what each entry is filed under, who signed
// it, and the controllers' chains. It goes on after each fault, so that one never masks another.
import { intField, textField } from '../../firmware/contract/fields';
import { isSigned, type KeyRing } from '../keys';
import { entryHash, keptOf, NO_HASH } from './chain';
import { type Fault, faultList } from './fault';
import { type Broken, journalWalk, recordName } from './journals';
import type { Entry, Verification } from './logbook';
import { isOwnJournal, KEPT } from './own';

export interface BookWalk {
  /** Takes the next entry in order of number. */
  take(entry: Entry): void;
  /** Entries up to this number cannot be read; that is said elsewhere. */
  skip(to: number): void;
  /**
   * What is missing at the end, and the breaks in controllers' journals.
   * @param isSaid whether the log book said of a record, when it arrived, that it does not fit
   */
  finish(isSaid?: (broken: Broken) => boolean): void;
  /** Number of the last entry taken or skipped. */
  entries(): number;
  /** Hash of the last entry taken. */
  hash(): string;
}

/** The columns the log book is searched by are not hashed in the chain, so they must repeat the body. */
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

class Walk implements BookWalk {
  private count = 0;
  private last = NO_HASH;
  /** What the last entry's hash is by its own text, where that is not what stands beside it. */
  private recomputed = '';
  /** False where the entry before is missing, so that nothing can be said of the link to it. */
  private isLinked = true;
  private readonly breaks: { fault: Fault; broken: Broken }[] = [];
  private readonly kept = new Set<string>();
  private readonly journals = journalWalk((fault, broken) => {
    // Whether the log book said so stands in an entry after it.
    if (broken && this.breaks.length < BREAKS_MAX) this.breaks.push({ fault, broken });
    else this.add(fault);
  });

  constructor(
    private readonly add: (fault: Fault) => void,
    private readonly keys?: KeyRing,
  ) {}

  take(e: Entry): void {
    const expected = this.count + 1;
    if (e.entry !== expected) this.missing(expected, e.entry);
    this.count = e.entry;
    this.checkChain(e);
    if (!columnsFit(e)) this.fail('chain', e, 'is filed under the wrong record');
    if (e.journal === KEPT) this.kept.add(`${e.address} ${keptOf(e.body)}`);
    // What the log book writes itself is signed by checkpoints.
    if (this.keys && !isOwnJournal(e.journal) && !isSigned(this.keys, e.address, 'record', e.body))
      this.fail('signature', e, "does not carry its controller's signature");
    this.journals.take(e);
  }

  skip(to: number): void {
    this.count = Math.max(this.count, to);
    this.isLinked = false;
  }

  finish(isSaid: (broken: Broken) => boolean = () => false): void {
    this.journals.finish();
    for (const { fault, broken } of this.breaks) {
      const { address, journal, seq } = broken;
      // Noted under the record that came second, which may be the earlier of the two.
      const names = [seq, seq - 1].map((n) => `${address} ${journal} ${n}`);
      const said = isSaid(broken) || names.some((name) => this.kept.has(name));
      this.add(said ? { ...fault, why: `${fault.why} ${SAID}`, said: true } : fault);
    }
  }

  entries(): number {
    return this.count;
  }

  hash(): string {
    return this.last;
  }

  private missing(expected: number, entry: number): void {
    const lost = entry - 1;
    const which = lost > expected ? `Entries ${expected} to ${lost} are` : `Entry ${expected} is`;
    const why = `${which} missing: the entry after ${expected - 1} is ${entry}.`;
    this.add({ part: 'chain', entry, why });
    this.isLinked = false;
  }

  private checkChain(e: Entry): void {
    const hash = this.isLinked ? entryHash(this.last, e.address, e.body) : e.hash;
    this.isLinked = true;
    // If only the hash beside the entry before was changed, that has been said of it.
    const fits =
      hash === e.hash || (this.recomputed !== '' && entryHash(this.recomputed, e.address, e.body) === e.hash);
    if (!fits) this.fail('chain', e, 'is not the text originally written');
    this.recomputed = fits ? '' : hash;
    this.last = e.hash;
  }

  private fail(part: Fault['part'], e: Entry, what: string): void {
    this.add({ part, entry: e.entry, why: `Entry ${e.entry}, ${recordName(e)}, ${what}.` });
  }
}

const SAID = 'The log book said so when it arrived.';
/** Most breaks for which is asked whether the log book said so. */
const BREAKS_MAX = 10_000;

/** See `BookWalk`; without `keys` signatures are not checked. */
export function bookWalk(add: (fault: Fault) => void, keys?: KeyRing): BookWalk {
  return new Walk(add, keys);
}

/** Walks all entries for a report on what was found. */
export function bookVerifier(keys?: KeyRing): { take(entry: Entry): void; report(): Verification } {
  const faults = faultList();
  const walk = bookWalk((fault) => faults.add(fault), keys);
  return {
    take: (entry) => walk.take(entry),
    report() {
      walk.finish();
      const broken = faults.listed.find(({ said }) => !said);
      const report = { valid: !broken, entries: walk.entries(), finalHash: walk.hash() };
      return { ...report, faults: [...faults.listed], ...(broken && { broken }) };
    },
  };
}
