// One place that every checkpoint is taken to: a witness or a time stamp server. What fails is tried again, less and
// less often.
import type { WitnessView } from '../api/views';
import type { StoredCheckpoint } from '../logbook/checkpoints';

export type ErrandOutcome =
  | { outcome: 'signed'; timeSec: number }
  | { outcome: 'refused' | 'failed'; why: string };

export interface Errand {
  /** Takes the checkpoint there, unless that was done or the next try is not due. It never rejects. */
  run(checkpoint: StoredCheckpoint, onProblem: (sentence: string) => void): Promise<void>;
  state(): WitnessView;
  /** Why it refuses this log book, '' if it does not. */
  alarm(): string;
}

/** Most looks between two tries: about an hour. */
const PAUSE_MAX = 60;

class Delivery implements Errand {
  private done = 0;
  private timeSec = 0;
  private tried = 0;
  private pause = 0;
  private wait = 0;
  private problem = '';
  private refused = '';

  constructor(
    private readonly name: string,
    private readonly deliver: (checkpoint: StoredCheckpoint) => Promise<ErrandOutcome>,
  ) {}

  async run(checkpoint: StoredCheckpoint, onProblem: (sentence: string) => void): Promise<void> {
    if (checkpoint.size === this.done) return;
    // A new checkpoint is shown at once.
    if (checkpoint.size === this.tried && this.wait > 0) {
      this.wait--;
      return;
    }
    this.tried = checkpoint.size;
    const answer = await this.deliver(checkpoint).catch(
      (error: Error): ErrandOutcome => ({ outcome: 'failed', why: error.message }),
    );
    if (answer.outcome === 'signed') {
      this.done = checkpoint.size;
      this.timeSec = answer.timeSec;
      this.pause = 0;
      this.problem = '';
      this.refused = '';
      return;
    }
    // A witness that once refused is believed until it signs again.
    if (answer.outcome === 'refused') this.refused = answer.why;
    if (answer.why !== this.problem) onProblem(answer.why);
    this.problem = answer.why;
    this.pause = Math.min(PAUSE_MAX, Math.max(1, this.pause * 2));
    this.wait = this.pause;
  }

  state(): WitnessView {
    return { name: this.name, size: this.done, at: this.timeSec, problem: this.problem };
  }

  alarm(): string {
    return this.refused;
  }
}

/** @param deliver takes a checkpoint there, and stores what it brings back */
export function newErrand(
  name: string,
  deliver: (checkpoint: StoredCheckpoint) => Promise<ErrandOutcome>,
): Errand {
  return new Delivery(name, deliver);
}
