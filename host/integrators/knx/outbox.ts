// What goes out to the bus next: what has changed, then by turns what somebody asked for and what is told again in rounds. Each
// group address waits once at most, however often it changes or is asked for.
import type { Telegram } from './frames';
import type { DatapointType } from './points';

/** How often a value is sent that the bus does not take, before it waits for the next round. */
const TRIES = 3;

export class Outbox {
  private readonly known = new Map<number, { type: DatapointType; value: number }>();
  private readonly changed = new Set<number>();
  private readonly asked = new Set<number>();
  private readonly again = new Set<number>();
  /** How often in a row what is known was not taken. */
  private readonly failures = new Map<number, number>();
  private readonly stuck = new Set<number>();
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
    this.failures.delete(to);
    this.changed.add(to);
    this.onWork();
  }

  forget(to: number): void {
    const { known, changed, asked, again, failures, stuck } = this;
    for (const all of [known, changed, asked, again, failures, stuck]) all.delete(to);
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

  /** The bus has taken what `next` gave. */
  taken({ to }: Telegram): void {
    this.failures.delete(to);
    this.stuck.delete(to);
  }

  /** It has not: it is given again after all that waits, unless it was too often in vain. */
  failed({ to, verb, value }: Telegram): void {
    // Something else is to be told by now, or nothing.
    if (this.known.get(to)?.value !== value) return;
    const count = (this.failures.get(to) ?? 0) + 1;
    this.failures.set(to, count);
    if (count >= TRIES) this.stuck.add(to);
    else this.putBack({ to, verb });
  }

  /** Nobody heard it. */
  putBack({ to, verb }: Pick<Telegram, 'to' | 'verb'>): void {
    if (this.known.has(to)) (verb === 'response' ? this.asked : this.changed).add(to);
  }

  /** A group address for which what is known was too often in vain; undefined if there is none. */
  firstStuck(): number | undefined {
    const [first] = this.stuck;
    return first;
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
