// What a witness answers: C2SP tlog-witness v1.0.0 (2026), section "add-checkpoint", in the order of its paragraphs.
import { sha256Raw } from '../keys';
import { verifyConsistency } from '../logbook/tree/merkle';
import { FormatError, sameBytes } from '../proof/bytes';
import { type Checkpoint, parseCheckpoint } from '../proof/checkpoint';
import { cosign, type NoteSigner, verifyEd25519 } from '../proof/ed25519';
import { linesOf, type Note, noteOf, parseNote, verifyNote } from '../proof/note';
import type { VerifierKey } from '../proof/verifierKey';
import { parseRequest, type WitnessRequest } from '../proof/witnessRequest';
import type { WitnessStore } from './store';

export interface WitnessParts {
  signer: NoteSigner;
  /** Keys of the logs it serves; a log is known by the name of its key. */
  logs: VerifierKey[];
  store: WitnessStore;
  /** UTC second. */
  now(): number;
  /** One sentence for the people who run the witness. */
  onProblem(sentence: string): void;
}

export interface Answer {
  status: 200 | 400 | 403 | 404 | 409 | 422 | 500;
  body: string;
  type?: string;
}

const refusal = (status: Answer['status'], sentence: string): Answer => ({ status, body: `${sentence}\n` });

interface Asked {
  request: WitnessRequest;
  note: Note;
  checkpoint: Checkpoint;
}

function read(text: string): Asked | Answer {
  try {
    const request = parseRequest(text);
    const note = parseNote(request.checkpoint);
    return { request, note, checkpoint: parseCheckpoint(note.text) };
  } catch (error) {
    if (error instanceof FormatError) return refusal(400, error.message);
    throw error;
  }
}

/** The log's own signature lines; undefined if it has not signed. */
async function ownSignatures(note: Note, keys: VerifierKey[]): Promise<string | undefined> {
  try {
    const signed = await verifyNote(note, keys, verifyEd25519);
    return signed.length > 0 ? linesOf(signed.map(({ signature }) => signature)) : undefined;
  } catch {
    return undefined;
  }
}

/** Why the checkpoint does not continue what was seen; '' if it does. */
function contradiction({ request, checkpoint }: Asked, before: Pick<Checkpoint, 'size' | 'root'>): string {
  const { size, root, origin } = checkpoint;
  const { proof } = request;
  const place = `The checkpoint of ${origin} at ${size} entries`;
  if (size === 0 && !sameBytes(root, sha256Raw(new Uint8Array())))
    return `${place} is not that of an empty log.`;
  if (before.size === size && !sameBytes(before.root, root))
    return `${place} has another root than the one already signed.`;
  if (before.size === 0 || before.size === size)
    return proof.length > 0 ? `${place} came with a proof where none is due.` : '';
  return verifyConsistency(sha256Raw, before.size, size, before.root, root, proof)
    ? ''
    : `${place} does not contain the log of ${before.size} entries: no consistency proof for it holds.`;
}

function judgeSigned(p: WitnessParts, asked: Asked, text: string, signatures: string): Answer {
  const { origin, size, root } = asked.checkpoint;
  const before = p.store.latest(origin) ?? { size: 0, root: sha256Raw(new Uint8Array()) };
  if (asked.request.oldSize > size) return refusal(400, 'The old size is larger than the checkpoint.');
  if (asked.request.oldSize !== before.size) {
    if (size < before.size)
      p.onProblem(
        `${origin} asked for a signature at ${size} entries, fewer than the ${before.size} seen before.`,
      );
    return { status: 409, body: `${before.size}\n`, type: 'text/x.tlog.size' };
  }
  const why = contradiction(asked, before);
  if (why) {
    p.store.refuse({ at: p.now(), origin, why }, text);
    p.onProblem(why);
    return refusal(422, why);
  }
  const at = p.now();
  const line = cosign(p.signer, asked.note.text, at);
  p.store.keep(origin, at, { size, root, note: noteOf(asked.note.text, signatures + line) });
  return { status: 200, body: line };
}

/** Answers one request; what it signs is on the disk before it returns. */
export async function judge(p: WitnessParts, text: string): Promise<Answer> {
  const asked = read(text);
  if ('status' in asked) return asked;
  const { origin } = asked.checkpoint;
  const keys = p.logs.filter(({ name }) => name === origin);
  if (keys.length === 0) return refusal(404, `This witness does not know the log ${origin}.`);
  const signatures = await ownSignatures(asked.note, keys);
  if (signatures === undefined) return refusal(403, `${origin} has not signed this checkpoint.`);
  try {
    return p.store.alone(() => judgeSigned(p, asked, text, signatures));
  } catch (error) {
    const why = `The witness could not store what it saw: ${(error as Error).message}.`;
    p.onProblem(why);
    return refusal(500, why);
  }
}
