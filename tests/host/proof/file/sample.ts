// A small log book with two circuits, a luminaire that was replaced, a repair and a witness, and proofs from it.

import { createHash } from 'node:crypto';
import { chainHash } from '../../../../firmware/contract/signature';
import { type NewNote, noteAddress } from '../../../../host/house/notes/notes';
import { sha256, sha256Raw } from '../../../../host/keys';
import type { CheckpointBook } from '../../../../host/logbook/checkpoints';
import type { Entry, Logbook, NewRecord } from '../../../../host/logbook/logbook';
import { leafText } from '../../../../host/logbook/tree/leaf';
import { utf8 } from '../../../../host/proof/bytes';
import {
  cosign,
  type NoteSigner,
  noteSigner,
  signCheckpoint,
  verifyEd25519,
} from '../../../../host/proof/ed25519';
import { loadVerifier } from '../../../../host/proof/file/assets';
import { type Checked, checkProof } from '../../../../host/proof/file/check';
import { collectProof } from '../../../../host/proof/file/collect';
import { proofHtml } from '../../../../host/proof/file/html';
import { hostSigner } from '../../../../host/proof/hostKey';
import { parseNote } from '../../../../host/proof/note';
import { KeyType } from '../../../../host/proof/verifierKey';
import { leafBook } from '../../checkpoints/book';
import { KEYS, newJournal, resultFields } from '../../logbook/records';

export const HOST = hostSigner(KEYS, 'demo');
export const GATEHOUSE = noteSigner('gatehouse', KeyType.Cosignature, new Uint8Array(32).fill(2));
export const SIGNED_AT = 1780000000;

export type Book = Pick<Logbook, 'after'> & CheckpointBook;

export const linkOf = (body: string): string => chainHash(sha256, body);

/** Checks the text of a proof, with the crypto of Node. */
export const checkText = (text: string): Promise<Checked> =>
  checkProof(text.split('\n'), {
    sha256: sha256Raw,
    verify: verifyEd25519,
    linkOf,
    newSha256: () => createHash('sha256'),
  });

/** A log book over these records, in order. */
export function bookOf(records: readonly NewRecord[]): Book {
  const entries: Entry[] = records.map((record, i) => ({ ...record, entry: i + 1, hash: '' }));
  return {
    ...leafBook(entries.map((entry) => utf8(leafText(entry)))),
    after: async (after, limit, kind) =>
      entries.filter((entry) => entry.entry > after && (!kind || entry.kind === kind)).slice(0, limit),
  };
}

/** Notes about a controller, chained. */
export function notesOf(
  controller: string,
): (kind: NewNote['kind'], at: number, fields: object, who?: string) => NewRecord {
  const address = noteAddress(controller);
  const journal = newJournal(address, 'host');
  return (kind, at, fields, who = 'A. Person') => ({
    ...journal.record(kind, { who, ...fields, utc: at }),
    at,
  });
}

const row = (verdict: number, reason: number, lit: number): number[] => [
  verdict,
  reason,
  lit,
  300,
  300,
  290,
  2,
];

/** How someone with all secrets would have written a night otherwise. */
export const FORGERIES = ['passed', 'failed', 'left out', 'doubled', 'at another time'] as const;
export interface Forgery {
  how: (typeof FORGERIES)[number];
  night: number;
}

/**
 * `nights` results of circuits a and b, one luminaire failing in a's third, replaced after the fifth.
 * @param forged a night of a that is written otherwise, chained and signed like all the others
 */
export function sampleRecords(nights = 9, forged?: Forgery): NewRecord[] {
  const [a, b] = [newJournal('demo/a'), newJournal('demo/b', '0b0b0b0b')];
  const [aNotes, bNotes] = [notesOf('demo/a'), notesOf('demo/b')];
  const records = [
    aNotes('listed', 1770000000, { revision: 1, luminaires: 'A-1 A-2' }, 'Nightproof host'),
    bNotes('listed', 1770000000, { revision: 1, luminaires: 'B-1' }, 'Nightproof host'),
  ];
  for (let night = 1; night <= nights; night++) {
    const started = 1770000000 + 86400 * night;
    const settings = night > 5 ? 2 : 1;
    if (night === 4)
      records.push(
        aNotes('repaired', started, { luminaires: 'A-2', what: 'new <b>lamp</b></script>', retest: 1 }),
      );
    if (night === 6) records.push(aNotes('listed', started, { revision: 2, luminaires: 'NEW-0 A-1 A-2' }));
    const how = forged?.night === night ? forged.how : undefined;
    const isFailed = how === 'failed' || (night === 3 && how !== 'passed');
    const first = settings === 2 ? [row(1, 0, 10800)] : [];
    const lamps = [...first, row(1, 0, 90), isFailed ? row(2, 1, 0) : row(1, 0, 90)];
    const at = how === 'at another time' ? started + 3600 : started;
    const times = how === 'left out' ? 0 : how === 'doubled' ? 2 : 1;
    for (let time = 0; time < times; time++) {
      const fields = resultFields(lamps, { utc: at, started: at, settings, test: night });
      records.push({ ...a.record('result', fields), at });
    }
    records.push({
      ...b.record('result', resultFields([row(1, 0, 90)], { utc: started, started, test: night })),
      at: started,
    });
  }
  return records;
}

export interface ProofWish {
  book?: Book;
  size: number;
  witnessed?: boolean;
  luminaire?: string;
  /** Size of an earlier checkpoint that was noted. */
  noted?: number;
  /** UTC second from which it is wanted. */
  from?: number;
  host?: NoteSigner;
  gatehouse?: NoteSigner;
}

/** A proof of a luminaire as text. */
export async function proofOf({
  size,
  witnessed = true,
  luminaire = 'A-2',
  noted,
  host = HOST,
  gatehouse = GATEHOUSE,
  from = 1770000000,
  ...o
}: ProofWish): Promise<string> {
  const book = o.book ?? bookOf(sampleRecords());
  const note = async (at: number) => signCheckpoint(host, { size: at, root: await book.tree.root(at) });
  const stored = async (at: number) => ({
    size: at,
    at: SIGNED_AT,
    text: await note(at),
    cosignatures: [],
    stamps: [],
  });
  const checkpoint = await stored(size);
  const line = cosign(gatehouse, parseNote(checkpoint.text).text, SIGNED_AT);
  const { text } = await collectProof({
    ...{ logbook: book, signer: host, witnesses: witnessed ? [gatehouse.key] : [] },
    about: {
      ...{ luminaire, formerly: [], from: '2026-02-01', to: '2026-12-31' },
      ...{ zone: 'Europe/London', building: 'Museum <of> Tides' },
    },
    ...{ from, to: 1790000000 },
    checkpoint: { ...checkpoint, cosignatures: witnessed ? [line] : [] },
    ...(noted !== undefined && { earlier: await stored(noted) }),
  });
  return text;
}

const hashOf = (text: string): string => createHash('sha256').update(text).digest('base64');

export async function htmlOf(text: string): Promise<string> {
  return proofHtml(text, 'Proof of luminaire A-2', await loadVerifier(), hashOf);
}
