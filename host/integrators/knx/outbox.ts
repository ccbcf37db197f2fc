// What goes out to the bus next: what has changed, then by turns what somebody asked for and what is told again in rounds. Each
// group address waits once at most, however often it changes or is asked for.
import type { Telegram } from './frames';
import type { DatapointType } from './points';

export class Outbox {
  private readonly known = new Map<number, { type: DatapointType; value: number }>();
  private readonly changed = new Set<number>();
  private readonly asked = new Set<number>();
  private readonly again = new Set<number>();
  private hasAnswered = false;

  /** @param onWork told that something waits */
  constructor(private readonly onWork: () => void) {}

  /** @param value null if it is no longer known: then it is neither told nor answered */
  set(to: number, type: DatapointType, value: number | null): void {
    if (value === null) this.forget(to);
    else if (this.known.get(to)?.value !== value) this.tell(to, type, value);
  }

  /** The same, told even if it has not changed. */
  tell(to: number, type: DatapointType, value: number): void {
    this.known.set(to, { type, value });
    this.changed.add(to);
    this.onWork();
  }

  forget(to: number): void {
    for (const all of [this.known, this.changed, this.asked, this.again]) all.delete(to);
  }

  /** Somebody on the bus asks for the value of a group address. */
  ask(to: number): void {
    if (!this.known.has(to)) return;
    this.asked.add(to);
    this.onWork();
  }

  /** Everything is told once more; a round that is still under way goes on as it is. */
  round(): void {
    if (this.again.size === 0) this.all();
  }

  /** Everything is told once more from the start: the bus may have heard nothing of late. */
  all(): void {
    for (const to of this.known.keys()) this.again.add(to);
    this.onWork();
  }

  next(): Telegram | undefined {
    const [changed] = this.changed;
    const [asked] = this.asked;
    const [again] = this.again;
    // Whoever asks without end must not hold up the rounds, which put right what others have written.
    const isAnswer =
      changed === undefined && asked !== undefined && !(this.hasAnswered && again !== undefined);
    if (changed === undefined) this.hasAnswered = isAnswer;
    if (isAnswer) {
      this.asked.delete(asked);
      return { to: asked, verb: 'response', ...this.known.get(asked)! };
    }
    const to = changed ?? again;
    if (to === undefined) return undefined;
    this.changed.delete(to);
    this.again.delete(to);
    return { to, verb: 'write', ...this.known.get(to)! };
  }
}
