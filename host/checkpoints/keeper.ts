// Keeps the log book's checkpoints: signs one when it is due, shows it to the witnesses and to the time stamp servers,
// stores what they answer, and says in plain words when one of them refuses.

import type { CheckpointView } from '../api/views';
import { sha256Raw } from '../keys';
import type { CheckpointBook, StoredCheckpoint } from '../logbook/checkpoints';
import { verifyConsistency } from '../logbook/tree/merkle';
import { toBase64 } from '../proof/bytes';
import { signedHead } from '../proof/checkpoint';
import { type NoteSigner, signCheckpoint } from '../proof/ed25519';
import { keyText } from '../proof/verifierKey';
import { type WitnessPlace, witnessClient } from '../witness/client';
import { type Errand, newErrand } from './errand';

/** Longest time between two checkpoints of a log book that grows, s. */
const DAY_SEC = 86_400;
/** Longest wait for a witness, ms. */
const PATIENCE_MS = 10_000;

export interface CheckpointKeeper {
  /** Signs one if anything is new since the last. It never rejects. */
  make(): Promise<void>;
  /** To be called about every minute: signs one a day, and tries again what could not be delivered. */
  look(): Promise<void>;
  /** What there is to show; undefined before the first checkpoint. */
  view(): CheckpointView | undefined;
}

export interface KeeperOptions {
  book: CheckpointBook;
  signer: NoteSigner;
  witnesses: WitnessPlace[];
  /** Other places that checkpoints are taken to. */
  errands?: Errand[];
  /** UTC second. */
  now(): number;
  onProblem(sentence: string): void;
}

function witnessErrand({ book }: KeeperOptions, place: WitnessPlace): Errand {
  const consistency = (from: number, to: number) =>
    from === 0 ? Promise.resolve([]) : book.tree.consistency(from, to);
  const client = witnessClient({ ...place, consistency, patienceMs: PATIENCE_MS });
  return newErrand(place.key.name, async ({ size, text }) => {
    const answer = await client.push({ size, note: text });
    if (answer.outcome === 'signed') await book.checkpoints.cosign(size, answer.line);
    return answer;
  });
}

class Keeper implements CheckpointKeeper {
  private latest: StoredCheckpoint | undefined;
  private last = Promise.resolve();
  private problem = '';
  private broken = '';
  private readonly errands: Errand[];

  constructor(private readonly o: KeeperOptions) {
    this.errands = [...o.witnesses.map((place) => witnessErrand(o, place)), ...(o.errands ?? [])];
  }

  make(): Promise<void> {
    return this.inTurn(() => this.sign(0));
  }

  look(): Promise<void> {
    return this.inTurn(async () => {
      await this.sign(DAY_SEC);
      await this.deliver();
    });
  }

  view(): CheckpointView | undefined {
    if (!this.latest) return undefined;
    const { origin, size, root } = signedHead(this.latest.text);
    return {
      ...{ origin, size, at: this.latest.at, root: toBase64(root), key: keyText(this.o.signer.key) },
      witnesses: this.errands.map((errand) => errand.state()),
      alarms: [this.broken, ...this.errands.map((errand) => errand.alarm())].filter((alarm) => alarm !== ''),
    };
  }

  /** One thing after the other, so that no two checkpoints are made at once. */
  private inTurn(work: () => Promise<void>): Promise<void> {
    this.last = this.last.then(work).then(
      () => {
        this.problem = '';
      },
      (error: Error) => {
        if (error.message !== this.problem) this.o.onProblem(error.message);
        this.problem = error.message;
      },
    );
    return this.last;
  }

  private async sign(minAgeSec: number): Promise<void> {
    const { book, signer, now } = this.o;
    this.latest ??= await book.checkpoints.latest();
    const before = this.latest;
    const size = await book.tree.size();
    if (before && Math.abs(now() - before.at) < minAgeSec && size >= before.size) return;
    const root = await book.tree.root(size);
    this.broken = before ? await this.contradiction(before, size, root) : '';
    if (this.broken) throw new Error(this.broken);
    if (size <= (before?.size ?? 0)) return;
    const made = { size, at: now(), text: signCheckpoint(signer, { size, root }) };
    await book.checkpoints.add(made);
    this.latest = { ...made, cosignatures: [], stamps: [] };
  }

  /** Why the log book no longer begins with its own last checkpoint; '' if it does. None is signed then. */
  private async contradiction(before: StoredCheckpoint, size: number, root: Uint8Array): Promise<string> {
    const old = signedHead(before.text);
    const what = `The log book had ${old.size} entries when its last checkpoint was signed`;
    const act = 'no checkpoint is signed any more. Keep the file as it is and run "logbook verify".';
    if (size < old.size) return `${what}, and now has ${size}: entries are missing; ${act}`;
    const proof = await this.o.book.tree.consistency(old.size, size);
    return verifyConsistency(sha256Raw, old.size, size, old.root, root, proof)
      ? ''
      : `${what}, and those are no longer the same: an entry was changed; ${act}`;
  }

  private async deliver(): Promise<void> {
    const checkpoint = this.latest;
    if (!checkpoint) return;
    await Promise.all(this.errands.map((errand) => errand.run(checkpoint, this.o.onProblem)));
  }
}

export function createKeeper(options: KeeperOptions): CheckpointKeeper {
  return new Keeper(options);
}
