// Gathers from a log book what a proof about one luminaire needs.

import { aboutOf, isNoteAddress, noteAddress, WHOLE_SITE } from '../../house/notes/notes';
import { replay } from '../../house/past';
import { idsOf, type ListedFields } from '../../house/rows/listed';
import { sha256Raw } from '../../keys';
import type { CheckpointBook, StoredCheckpoint } from '../../logbook/checkpoints';
import type { Entry, Logbook } from '../../logbook/logbook';
import { leafText } from '../../logbook/tree/leaf';
import { toBase64, toHexText, utf8 } from '../bytes';
import { signedHead, witnessedNote } from '../checkpoint';
import type { NoteSigner } from '../ed25519';
import { signatureLine } from '../note';
import { keyText, type VerifierKey } from '../verifierKey';
import { type Earlier, type ProofAbout, proofFileText, signedText, unsignedText } from './format';
import { otherHashes } from './parts';

export interface CollectOptions {
  logbook: Pick<Logbook, 'after'> & CheckpointBook;
  signer: NoteSigner;
  witnesses: VerifierKey[];
  about: ProofAbout;
  /** UTC seconds. */
  from: number;
  to: number;
  checkpoint: StoredCheckpoint;
  /** Checkpoint whose root was noted. */
  earlier?: StoredCheckpoint;
}

function fieldsOf({ body }: Entry): Partial<ListedFields> {
  try {
    return JSON.parse(body) as Partial<ListedFields>;
  } catch {
    return {};
  }
}

/** Lists that name the luminaire, and the addresses of the controllers they are about. */
async function listsOf({
  logbook,
  about,
  checkpoint,
}: CollectOptions): Promise<{ lists: Entry[]; addresses: Set<string> }> {
  const ids = [about.luminaire, ...about.formerly];
  const all: Entry[] = [];
  const take = (entry: Entry): void => {
    if (entry.entry <= checkpoint.size && isNoteAddress(entry.address)) all.push(entry);
  };
  await replay(logbook, 0, take, { kind: 'listed' });
  const names = (entry: Entry): boolean => {
    const { revision = 0, luminaires = '' } = fieldsOf(entry);
    return idsOf({ revision, luminaires }).some((id) => ids.includes(id));
  };
  const notes = new Set(all.filter(names).map(({ address }) => address));
  const lists = all.filter(({ address }) => notes.has(address));
  return {
    lists,
    addresses: new Set([...notes].map((address) => address.slice(0, address.lastIndexOf('/')))),
  };
}

/** Where the notes about the whole site are filed to which a controller belongs, human checks among them. */
function siteNotesOf(address: string): string {
  return noteAddress(`${address.slice(0, address.indexOf('/'))}/${WHOLE_SITE}`);
}

/**
 * The entries of a proof, oldest first: of every controller the luminaire was ever connected to and of the whole site, all
 * records and notes between the first and the last of the period, so that a missing one shows; and the lists of
 * luminaires before them. None if no controller has any in the period.
 */
async function entriesFor(o: CollectOptions): Promise<Entry[]> {
  const { lists, addresses } = await listsOf(o);
  const wanted = new Set(
    [...addresses].flatMap((address) => [address, noteAddress(address), siteNotesOf(address)]),
  );
  const found: Entry[] = [];
  let [first, last] = [0, 0];
  await replay(o.logbook, 0, (entry) => {
    if (entry.entry > o.checkpoint.size || !wanted.has(entry.address)) return;
    found.push(entry);
    if (entry.at < o.from || entry.at > o.to) return;
    first ||= entry.entry;
    last = entry.entry;
  });
  const within = found.filter(({ entry }) => entry >= first && entry <= last);
  const isRecord = ({ entry, address, at }: Entry): boolean =>
    entry >= first &&
    at >= o.from &&
    at <= o.to &&
    (addresses.has(address) || addresses.has(aboutOf(address)));
  const before = lists.filter(({ entry }) => entry < first);
  return !within.some(isRecord) ? [] : [...before, ...within];
}

async function earlierOf({ logbook, earlier, checkpoint }: CollectOptions): Promise<Earlier | undefined> {
  if (!earlier) return undefined;
  const { size, root } = signedHead(earlier.text);
  const hashes = await logbook.tree.consistency(size, checkpoint.size);
  return { size, root: toHexText(root), hashes: hashes.map(toHexText) };
}

/**
 * The proof as text, see format.ts; how many entries it holds, and the number of the last.
 * @throws Error with one sentence if there is nothing to prove.
 */
export async function collectProof(
  o: CollectOptions,
): Promise<{ text: string; entries: number; last: number }> {
  const { about, checkpoint, logbook, signer } = o;
  const entries = await entriesFor(o);
  if (entries.length === 0)
    throw new Error(
      `The log book holds no record of a controller of ${about.luminaire} from ${about.from} to ${about.to}; check the id and the dates.`,
    );
  const numbers = entries.map(({ entry }) => entry);
  const hashes = await otherHashes(checkpoint.size, numbers, (entry, size) =>
    logbook.tree.inclusion(entry, size),
  );
  const unsigned = unsignedText({
    about,
    keys: [signer.key, ...o.witnesses].map(keyText),
    checkpoint: witnessedNote(checkpoint),
    stamps: checkpoint.stamps.map(({ url, token }) => ({ url, token: toBase64(token) })),
    earlier: await earlierOf(o),
    hashes: hashes.map(toHexText),
    entries: entries.map((entry) => ({ entry: entry.entry, data: toBase64(utf8(leafText(entry))) })),
  });
  const signed = signedText(toHexText(sha256Raw(utf8(unsigned))));
  const signature = signatureLine(signer.key, signer.sign(utf8(signed))).slice(0, -1);
  return {
    text: proofFileText(unsigned, signature),
    entries: entries.length,
    last: numbers[numbers.length - 1],
  };
}
