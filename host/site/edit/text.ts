// Steps carried out in the text itself: all that they do not name stays as its owner wrote it, byte for byte, with
// its comments, order and columns. Whether the new text says what it should is checked by whoever calls this.
import type { Path } from '../note';
import { type Splice, Splicer } from './splicer';
import type { Step } from './steps';

const nameOf = (path: Path): string => JSON.stringify(path);

/** A splice with the list or group that it changes. */
interface Placed extends Splice {
  within: string;
}

/** Whether two pieces cannot be put in without knowing of each other. */
function isTouching(a: Placed, b: Placed): boolean {
  if (a.from === b.from) return a.within !== b.within || a.to > a.from || b.to > b.from;
  return a.from < b.to && b.from < a.to;
}

/** Steps that do not touch each other: they share one reading of a text, which takes long for a large one. */
class Bundle {
  private readonly splicer: Splicer;
  private readonly splices: Placed[] = [];
  /** What was changed, by its path. */
  private readonly changed = new Set<string>();
  /** What something was changed in, by its path. */
  private readonly holding = new Set<string>();
  /** What is done to each list or group: only one thing, so that none is emptied or filled half way. */
  private readonly does = new Map<string, { do: Step['do']; count: number }>();
  /** Places of items that go, by their list, rising: those of later steps count without them. */
  private readonly gone = new Map<string, number[]>();

  constructor(private readonly text: string) {
    this.splicer = new Splicer(text);
  }

  /** Takes a step in, or returns false if it must wait for another reading; the first never waits. */
  take(step: Step): boolean {
    const path = this.asRead(step.path);
    const list = step.do === 'append' ? path : path.slice(0, -1);
    const within = nameOf(list);
    const done = this.does.get(within) ?? { do: step.do, count: 0 };
    if (this.isChanged(path) || done.do !== step.do) return false;
    if (step.do !== 'append' && this.holding.has(nameOf(path))) return false;
    if (done.do === 'drop' && done.count > 0 && done.count + 1 >= this.splicer.sizeOf(list)) return false;
    const splice = { ...this.splicer.of({ ...step, path }), within };
    if (this.splices.some((one) => isTouching(one, splice))) return false;
    const end = step.do === 'append' ? [...path, this.splicer.sizeOf(path) + done.count] : path;
    this.splices.push(splice);
    this.changed.add(nameOf(end));
    for (let i = 1; i < end.length; i++) this.holding.add(nameOf(end.slice(0, i)));
    this.does.set(within, { do: step.do, count: done.count + 1 });
    const last = path[path.length - 1];
    if (step.do === 'drop' && typeof last === 'number')
      this.gone.set(
        within,
        [...(this.gone.get(within) ?? []), last].sort((a, b) => a - b),
      );
    return true;
  }

  /** The text after all steps. */
  after(): string {
    let out = '';
    let at = 0;
    for (const { from, to, text } of this.splices.sort((a, b) => a.from - b.from)) {
      out += this.text.slice(at, from) + text;
      at = to;
    }
    return out + this.text.slice(at);
  }

  /** A path in the text as it was read. */
  private asRead(path: Path): Path {
    const read: Path = [];
    for (const part of path) {
      const gone = typeof part === 'number' ? (this.gone.get(nameOf(read)) ?? []) : [];
      read.push(gone.reduce<string | number>((at, one) => (one <= Number(at) ? Number(at) + 1 : at), part));
    }
    return read;
  }

  private isChanged(path: Path): boolean {
    return path.some((_, i) => this.changed.has(nameOf(path.slice(0, i + 1))));
  }
}

/**
 * The text after all steps, each one on what those before it left.
 * @throws Refusal with one sentence if the text is written in a way this does not know
 */
export function stepped(text: string, steps: readonly Step[]): string {
  let now = text;
  for (let next = 0; next < steps.length; ) {
    const bundle = new Bundle(now);
    while (next < steps.length && bundle.take(steps[next])) next++;
    now = bundle.after();
  }
  return now;
}
