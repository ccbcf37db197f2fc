// Asks one witness to sign the log's checkpoints: C2SP tlog-witness v1.0.0 (2026), section "add-checkpoint".
import { bodyOf } from '../bounded';
import { decimal } from '../proof/bytes';
import { verifyEd25519 } from '../proof/ed25519';
import { noteOf, parseNote, verifyNote } from '../proof/note';
import type { VerifierKey } from '../proof/verifierKey';
import { requestText } from '../proof/witnessRequest';

export interface WitnessPlace {
  /** Its submission prefix, without a slash at the end. */
  url: string;
  key: VerifierKey;
}

/**
 * `signed`: its cosignature line, checked. `refused`: it says the log contradicts what it has seen, or knows more of
 * it than we do: an alarm. `failed`: no answer, or none that is any use: try again later.
 */
export type WitnessOutcome =
  | { outcome: 'signed'; line: string; timeSec: number }
  | { outcome: 'refused' | 'failed'; why: string };

export interface WitnessClient {
  push(checkpoint: { size: number; note: string }): Promise<WitnessOutcome>;
}

export interface WitnessClientOptions extends WitnessPlace {
  consistency(from: number, to: number): Promise<Uint8Array[]>;
  /** Longest wait for an answer, ms. */
  patienceMs: number;
}

/** Longest answer worth reading, bytes. */
const ANSWER_MAX = 64 * 1024;

const failed = (why: string): WitnessOutcome => ({ outcome: 'failed', why });
const refused = (why: string): WitnessOutcome => ({ outcome: 'refused', why });

class Client implements WitnessClient {
  /** Size that this witness signed last, as far as we know. */
  private known = 0;

  constructor(private readonly o: WitnessClientOptions) {}

  async push(checkpoint: { size: number; note: string }): Promise<WitnessOutcome> {
    const name = this.o.key.name;
    try {
      let answer = await this.ask(checkpoint);
      if (answer.status === 409) {
        const sees = decimal(answer.body.trim(), `The size that witness ${name} answered`);
        if (sees > checkpoint.size)
          return refused(
            `Witness ${name} has signed ${sees} entries of this log book, which now has a checkpoint of only ${checkpoint.size}: ` +
              'entries were lost or taken away, or another host writes the same book. Restore the newest backup.',
          );
        this.known = sees;
        answer = await this.ask(checkpoint);
      }
      return await this.read(checkpoint, answer);
    } catch (error) {
      const cause = (error as { cause?: Error }).cause?.message ?? (error as Error).message;
      return failed(`Witness ${name} at ${this.o.url} does not answer: ${cause}`);
    }
  }

  private async ask({
    size,
    note,
  }: {
    size: number;
    note: string;
  }): Promise<{ status: number; body: string }> {
    const oldSize = Math.min(this.known, size);
    const proof = await this.o.consistency(oldSize, size);
    const response = await fetch(`${this.o.url}/add-checkpoint`, {
      method: 'POST',
      headers: { 'Content-Type': 'text/plain; charset=utf-8' },
      body: requestText({ oldSize, proof, checkpoint: note }),
      redirect: 'error',
      signal: AbortSignal.timeout(this.o.patienceMs),
    });
    const body = Buffer.from(await bodyOf(response, ANSWER_MAX)).toString();
    return { status: response.status, body };
  }

  private async read(
    { size, note }: { size: number; note: string },
    { status, body }: { status: number; body: string },
  ): Promise<WitnessOutcome> {
    const { key, url } = this.o;
    const says = body.split('\n')[0].slice(0, 300);
    if (status === 422)
      return refused(
        `Witness ${key.name} refuses this log book: ${says} Someone has changed what was already signed; keep the file as it is and run "logbook verify".`,
      );
    if (status === 404)
      return failed(
        `Witness ${key.name} at ${url} does not know this log book; start it with --log and this host's key.`,
      );
    if (status !== 200) return failed(`Witness ${key.name} at ${url} answered ${status}: ${says}`);
    try {
      const signed = await verifyNote(parseNote(noteOf(parseNote(note).text, body)), [key], verifyEd25519);
      const [{ signature, timeSec = 0 }] = signed;
      this.known = size;
      return { outcome: 'signed', line: `${signature.line}\n`, timeSec };
    } catch {
      return failed(`Witness ${key.name} at ${url} answered with a signature that is not its own.`);
    }
  }
}

export function witnessClient(options: WitnessClientOptions): WitnessClient {
  return new Client(options);
}
