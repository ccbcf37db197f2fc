// The checkpoints that stand in a log book: who signed them, and whether the entries are still those they were
// signed over.
import { sha256Raw } from '../../keys';
import { FormatError, sameBytes, toBase64, utf8 } from '../../proof/bytes';
import { type Checkpoint, parseCheckpoint } from '../../proof/checkpoint';
import { verifyEd25519 } from '../../proof/ed25519';
import { type Note, noteOf, parseNote, readSignatures, verifyNote } from '../../proof/note';
import { stampedTime } from '../../proof/timeStamp';
import type { VerifierKey } from '../../proof/verifierKey';
import type { StoredCheckpoint } from '../checkpoints';
import type { Fault } from '../fault';
import type { Roots } from './roots';

export interface SignedParts {
  checkpoints: readonly StoredCheckpoint[];
  roots: Roots;
  /** Entries the log book has. */
  entries: number;
  /** The host's own key; undefined if it is not at hand. */
  hostKey?: VerifierKey;
  witnesses: readonly VerifierKey[];
  add(fault: Fault): void;
}

export interface SignedFound {
  /** Checkpoints whose root the entries still have. */
  fitting: number;
  /** Largest size with a cosignature of a known witness that holds and a root that fits, 0 if none. */
  witnessed: number;
  /** Names of witnesses whose key is not at hand. */
  unknown: ReadonlySet<string>;
}

class Check {
  fitting = 0;
  witnessed = 0;
  readonly unknown = new Set<string>();
  private origin = '';
  /** Size of the newest checkpoint that fits. */
  private good = 0;

  constructor(private readonly p: SignedParts) {}

  async run(): Promise<void> {
    for (const stored of this.p.checkpoints) {
      const read = this.read(stored);
      if (!read) continue;
      await this.checkSignature(read);
      const fits = this.checkRoot(read.checkpoint, stored);
      await this.checkCosignatures(stored, read.note, fits);
      this.checkStamps(stored, read.note);
    }
  }

  private fail(part: 'checkpoint' | 'witness', entry: number, why: string): void {
    this.p.add({ part, entry, why });
  }

  private read(stored: StoredCheckpoint): { note: Note; checkpoint: Checkpoint } | undefined {
    const which = `The checkpoint stored for ${stored.size} entries`;
    try {
      const note = parseNote(stored.text);
      const checkpoint = parseCheckpoint(note.text);
      if (checkpoint.size !== stored.size)
        this.fail('checkpoint', stored.size, `${which} was signed for ${checkpoint.size}.`);
      if (this.origin !== '' && this.origin !== checkpoint.origin)
        this.fail('checkpoint', stored.size, `${which} is of another log, ${checkpoint.origin}.`);
      this.origin ||= checkpoint.origin;
      return { note, checkpoint };
    } catch (error) {
      if (!(error instanceof FormatError)) throw error;
      this.fail('checkpoint', stored.size, `${which} cannot be read: ${error.message}`);
      return undefined;
    }
  }

  private async checkSignature({ note, checkpoint }: { note: Note; checkpoint: Checkpoint }): Promise<void> {
    const { hostKey } = this.p;
    if (!hostKey) return;
    const why = `The checkpoint of ${checkpoint.size} entries does not carry this host's signature.`;
    try {
      const signed = await verifyNote(note, [hostKey], verifyEd25519);
      if (signed.length === 0) this.fail('checkpoint', checkpoint.size, why);
    } catch (error) {
      if (!(error instanceof FormatError)) throw error;
      this.fail('checkpoint', checkpoint.size, why);
    }
  }

  private checkRoot({ size, root }: Checkpoint, { at }: StoredCheckpoint): boolean {
    const { roots, entries } = this.p;
    const day = new Date(at * 1000).toISOString().slice(0, 10);
    if (size > entries) {
      const lost = `The checkpoint of ${day} covers ${size} entries, but the log book ends at ${entries}`;
      this.fail('checkpoint', entries + 1, `${lost}: entries ${entries + 1} to ${size} are missing.`);
      return false;
    }
    const is = roots.at(size);
    if (!is) {
      const why = `The checkpoint of ${day} over ${size} entries cannot be compared: not all of them can be read.`;
      this.fail('checkpoint', size, why);
      return false;
    }
    if (sameBytes(is, root)) {
      this.fitting++;
      this.good = size;
      return true;
    }
    const from = this.good + 1;
    const why = `Something between entries ${from} and ${size} is not what the checkpoint of ${day} was signed over.`;
    this.p.add({ part: 'checkpoint', entry: from, to: size, why });
    return false;
  }

  /** Only whether each is about its checkpoint: whom to trust as its signer, openssl is told. */
  private checkStamps({ size, stamps }: StoredCheckpoint, note: Note): void {
    for (const { url, token } of stamps) {
      try {
        stampedTime(token, sha256Raw(utf8(note.text)));
      } catch (error) {
        if (!(error instanceof FormatError)) throw error;
        this.fail(
          'witness',
          size,
          `The time stamp of ${url} at ${size} entries does not hold: ${error.message}.`,
        );
      }
    }
  }

  private async checkCosignatures(stored: StoredCheckpoint, note: Note, fits: boolean): Promise<void> {
    for (const line of stored.cosignatures) {
      const which = `A witness's signature under the checkpoint of ${stored.size} entries`;
      try {
        const [signature] = readSignatures(line);
        const keys = this.p.witnesses.filter(({ name }) => name === signature.name);
        if (keys.length === 0) this.unknown.add(signature.name);
        const cosigned = parseNote(noteOf(note.text, line));
        const signed = await verifyNote(cosigned, keys, verifyEd25519);
        if (keys.length > 0 && signed.length === 0)
          this.fail('witness', stored.size, `${which} is not by the key of ${signature.name}.`);
        if (signed.length > 0 && fits) this.witnessed = Math.max(this.witnessed, stored.size);
        if (signed.length > 0 && !fits)
          this.fail('witness', stored.size, `${signature.name} has signed another log book than this one.`);
      } catch (error) {
        if (!(error instanceof FormatError)) throw error;
        this.fail('witness', stored.size, `${which} does not hold: ${error.message}`);
      }
    }
  }
}

/** Checks every stored checkpoint; faults go to `add`. */
export async function checkSigned(parts: SignedParts): Promise<SignedFound> {
  const check = new Check(parts);
  await check.run();
  const { fitting, witnessed, unknown } = check;
  return { fitting, witnessed, unknown };
}

export const rootText = toBase64;
