// Everything a log book claims, recomputed from its file. Each check goes on after what it finds, and none keeps
// another from being made.
import type { KeyRing } from '../../keys';
import { sameBytes, toBase64 } from '../../proof/bytes';
import { hostSigner } from '../../proof/hostKey';
import type { VerifierKey } from '../../proof/verifierKey';
import type { StoredCheckpoint } from '../checkpoints';
import { type Counts, type Fault, type FaultList, faultList } from '../fault';
import type { Inspected, RawEntry } from '../inspect';
import type { Verification } from '../logbook';
import { type BookWalk, bookWalk } from '../walk';
import { type Noted, notedWords } from './noted';
import { checkRepeats, type Repeats } from './repeats';
import { computeRoots, type Roots } from './roots';
import { checkSigned, type SignedFound } from './signed';

export interface VerifyOptions {
  /** Keys of the controllers and of the host; without them signatures are not checked. */
  keys?: KeyRing;
  /** Why there are no keys, without a full stop. */
  noKeys?: string;
  witnesses?: readonly VerifierKey[];
  noted?: readonly Noted[];
  /** Each fault that is listed, as it is found. */
  onFault?: (fault: Fault) => void;
  /** After every slice: entries read so far. */
  onProgress?: (entries: number) => void;
}

export interface BookReport extends Verification {
  /** Root over all entries, base64, and their number. */
  root: string;
  size: number;
  /** How many faults of each part; those that the log book said itself are counted in `said`. */
  counts: Readonly<Counts>;
  said: number;
  checkpoints: number;
  /** Entries that a witness's signature covers. */
  witnessed: number;
  /** Whether signatures were checked. */
  signatures: boolean;
  /** One sentence for each thing that could not be checked. */
  unchecked: string[];
}

/** Entries per read. */
const SLICE = 2000;
/** Most attempts to find an entry that can be read where the file cannot be; they are made ever further apart. */
const TRIES_MAX = 2000;
/** Attempts at one distance, entries, before it is doubled; a page holds some ten. */
const TRIES_NEAR = 64;

/** A slice of entries, or the numbers in between that cannot be read; without `to` all that may come. */
type Read = { entries: RawEntry[] } | { lost: { from: number; to?: number; why: string } };

/** All that a file gives of its entries, past whatever cannot be read. */
function* readAll(book: Inspected): Generator<Read> {
  let [after, limit, tries] = [0, SLICE, 0];
  let lost: { from: number; why: string } | undefined;
  for (;;) {
    let entries: RawEntry[];
    try {
      entries = book.slice(after, limit);
    } catch (error) {
      if (limit > 1) limit = Math.ceil(limit / 16);
      else {
        lost ??= { from: after + 1, why: (error as Error).message };
        after += 2 ** Math.floor(tries / TRIES_NEAR);
        if (++tries >= TRIES_MAX || after > Number.MAX_SAFE_INTEGER) break;
      }
      continue;
    }
    if (lost && entries.length > 0) yield { lost: { ...lost, to: entries[0].entry - 1 } };
    if (entries.length === 0) break;
    lost = undefined;
    tries = 0;
    yield { entries };
    after = entries[entries.length - 1].entry;
    if (entries.length < limit && limit === SLICE) return;
    limit = Math.min(SLICE, limit * 2);
  }
  if (lost) yield { lost };
}

interface Walks {
  faults: FaultList;
  walk: BookWalk;
  roots: Roots;
  repeats: Repeats;
}

function walkEntries(
  book: Inspected,
  { faults, walk, roots, repeats }: Walks,
  onProgress: (n: number) => void,
): void {
  for (const read of readAll(book)) {
    if ('lost' in read) {
      const { from, to, why } = read.lost;
      const rest = to === undefined ? `Nothing from entry ${from} on` : `No entry from ${from} to ${to}`;
      const which = to === from ? `Entry ${from} cannot` : `${rest} can`;
      const range = to === undefined ? {} : { to };
      faults.add({ part: 'storage', entry: from, ...range, why: `${which} be read: ${why}` });
      if (to !== undefined) {
        walk.skip(to);
        roots.skip(to);
      }
    } else
      for (const entry of read.entries) {
        if (!entry.isText) {
          const why = `Entry ${entry.entry} has bytes that are no text.`;
          faults.add({ part: 'storage', entry: entry.entry, why });
        }
        walk.take(entry);
        roots.take(entry);
        repeats.take(entry);
      }
    onProgress(walk.entries());
  }
}

/** A list that may not be readable at all. */
function guarded<T>(faults: FaultList, read: () => T, otherwise: T): T {
  try {
    return read();
  } catch (error) {
    faults.add({ part: 'storage', entry: 0, why: (error as Error).message });
    return otherwise;
  }
}

/** Root that only was noted without its size: looked for at every size. */
function isAnywhere(book: Inspected, { root }: Noted): boolean {
  const roots = computeRoots([], new Set(), () => {});
  for (const read of readAll(book)) {
    if ('lost' in read) return false;
    for (const entry of read.entries) {
      roots.take(entry);
      if (sameBytes(roots.root(), root)) return true;
    }
  }
  return false;
}

function checkNoted(book: Inspected, noted: readonly Noted[], walks: Walks, signed: readonly number[]): void {
  const { faults, roots, walk } = walks;
  const entries = walk.entries();
  const add = (entry: number, to: number, why: string) =>
    faults.add({ part: 'witness', entry, ...(to > 0 && { to }), why });
  let good = 0;
  for (const one of [...noted].sort((a, b) => (a.size ?? 0) - (b.size ?? 0))) {
    const { size, root } = one;
    if (size === undefined) {
      const known = [roots.root(), ...signed.map((at) => roots.at(at))].some(
        (is) => is && sameBytes(is, root),
      );
      if (!known && !isAnywhere(book, one))
        add(
          1,
          0,
          `The log book does not contain ${notedWords(one)}: an entry before it was changed or is missing.`,
        );
      continue;
    }
    const is = roots.at(size);
    if (is && sameBytes(is, root)) good = size;
    else if (size > entries) {
      const why = `The log book ends at ${entries} entries and does not contain ${notedWords(one)}`;
      add(entries + 1, size, `${why}: entries ${entries + 1} to ${size} are missing.`);
    } else {
      const why = `Something between entries ${good + 1} and ${size} was changed: they do not give ${notedWords(one)}.`;
      add(good + 1, size, why);
    }
  }
}

/** What could not be checked for want of something. */
function uncheckedOf(o: VerifyOptions, signed: SignedFound): string[] {
  const out: string[] = [];
  if (!o.keys) {
    const why = o.noKeys ?? 'the site secret is not at hand';
    out.push(`The signatures of controllers and host were not checked: ${why}.`);
  }
  for (const name of signed.unknown)
    out.push(`The signatures of witness ${name} were not checked: give its key with --witness.`);
  return out;
}

/** Site of a log book, by its entries; '' if it has none. */
function siteOf(book: Inspected): string {
  try {
    return book.slice(0, 1)[0]?.address.split('/')[0] ?? '';
  } catch {
    return '';
  }
}

function hostKeyOf(book: Inspected, keys: KeyRing | undefined): VerifierKey | undefined {
  const site = siteOf(book);
  return keys && site !== '' ? hostSigner(keys, site).key : undefined;
}

function reportOf(walks: Walks, o: VerifyOptions, found: SignedFound, checkpoints: number): BookReport {
  const { faults, walk, roots } = walks;
  const own = faults.listed.filter(({ said }) => !said);
  const broken = own.find(({ entry }) => entry > 0) ?? own[0];
  return {
    ...{ valid: !broken, entries: walk.entries(), finalHash: walk.hash() },
    ...(broken && { broken: { entry: broken.entry, why: broken.why } }),
    ...{ root: toBase64(roots.root()), size: roots.size() },
    ...{ faults: [...faults.listed], counts: faults.counts, said: faults.said },
    ...{ checkpoints, witnessed: found.witnessed, signatures: o.keys !== undefined },
    unchecked: uncheckedOf(o, found),
  };
}

/** Checks everything about a log book that can be checked with what is at hand. */
export async function verifyBook(book: Inspected, o: VerifyOptions = {}): Promise<BookReport> {
  const faults = faultList(o.onFault);
  for (const why of book.storage()) faults.add({ part: 'storage', entry: 0, why });
  const checkpoints = guarded<StoredCheckpoint[]>(faults, () => book.checkpoints(), []);
  const sizes = checkpoints.map(({ size }) => size);
  const noted = o.noted ?? [];
  const wanted = new Set([...sizes, ...noted.flatMap(({ size }) => size ?? [])]);
  const add = (fault: Fault) => faults.add(fault);
  const roots = computeRoots(book.tiles(), wanted, add);
  const walks = { faults, walk: bookWalk(add, o.keys), roots, repeats: checkRepeats(add) };
  guarded(faults, () => walkEntries(book, walks, o.onProgress ?? (() => {})), undefined);
  walks.walk.finish(({ address, journal, seq }) =>
    guarded(faults, () => book.isSaid(address, journal, seq), false),
  );
  if (book.hasTree) roots.finish();
  const hostKey = hostKeyOf(book, o.keys);
  const found = await checkSigned({
    ...{ checkpoints, roots, entries: walks.walk.entries(), witnesses: o.witnesses ?? [], add },
    ...(hostKey && { hostKey }),
  });
  checkNoted(book, noted, walks, sizes);
  for (const name of guarded(faults, () => book.memory(), []))
    add({ part: 'memory', entry: 0, why: `The host's memory "${name}" is not as it was written.` });
  if (book.hasTree) guarded(faults, () => walks.repeats.finish(book.repeated()), undefined);
  return reportOf(walks, o, found, checkpoints.length);
}
