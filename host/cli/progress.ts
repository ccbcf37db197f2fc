// Long runs: a bar when someone watches a terminal, now and then a line where the output goes into a file or a
// pipe, and after Ctrl-C a sentence about how far it came and what is kept.

export interface Progress {
  /** Counts this many more as done; one by default. */
  step(more?: number): void;
  /** A line that stays, above the bar. */
  tell(line: string): void;
  /** Removes the bar; from then on Ctrl-C ends the program as usual. */
  end(): void;
}

export interface ProgressOptions {
  /** Whole of what is counted; 0: not known. */
  total: number;
  /** What is counted: "days". */
  what: string;
  /** Shows nothing, as with --json. */
  isQuiet: boolean;
  /** What an interrupted run leaves behind, one sentence. */
  kept?: string;
}

const WIDTH = 30;
/** Shortest time between two drawings of the bar, and between two lines, ms. */
const BAR_PAUSE_MS = 100;
const LINE_PAUSE_MS = 10_000;
/** Exit code after an interrupt: 128 and the number of the signal, as shells have it. */
const INTERRUPTED = 130;

function amount(done: number, total: number, what: string): string {
  return total > 0 ? `${done} of ${total} ${what}` : `${done} ${what}`;
}

function remaining(done: number, total: number, tookMs: number): string {
  return done > 0 && done < total
    ? `, about ${Math.round(((tookMs / done) * (total - done)) / 1000)} s left`
    : '';
}

/** Text of the bar: `done` of `total`, and the remaining time estimated from the time taken so far. */
export function barText(done: number, total: number, what: string, tookMs: number): string {
  if (total === 0) return amount(done, total, what);
  const share = Math.min(1, done / total);
  const full = Math.round(share * WIDTH);
  const bar = `[${'#'.repeat(full)}${'.'.repeat(WIDTH - full)}]`;
  return `${bar} ${amount(done, total, what)}${remaining(done, total, tookMs)}`;
}

/** Shows on standard error how far a run has come. */
export function startProgress({
  total,
  what,
  isQuiet,
  kept = 'Nothing is kept.',
}: ProgressOptions): Progress {
  const isTerminal = process.stderr.isTTY === true;
  const began = performance.now();
  let done = 0;
  let shownAt = isTerminal ? Number.NEGATIVE_INFINITY : began;
  const clear = isTerminal && !isQuiet ? '\r\u001b[K' : '';
  const onInterrupt = () => {
    process.stderr.write(`${clear}Stopped after ${amount(done, total, what)}. ${kept}\n`);
    process.exit(INTERRUPTED);
  };
  process.once('SIGINT', onInterrupt);
  return {
    step: (more = 1) => {
      done += more;
      const now = performance.now();
      if (isQuiet) return;
      if (isTerminal) {
        if (now - shownAt < BAR_PAUSE_MS && done < total) return;
        process.stderr.write(clear + barText(done, total, what, now - began));
      } else {
        if (now - shownAt < LINE_PAUSE_MS) return;
        process.stderr.write(`${amount(done, total, what)}${remaining(done, total, now - began)}\n`);
      }
      shownAt = now;
    },
    tell: (line) => {
      process.stderr.write(`${clear}${line}\n`);
      if (isTerminal) shownAt = Number.NEGATIVE_INFINITY;
    },
    end: () => {
      process.off('SIGINT', onInterrupt);
      process.stderr.write(clear);
    },
  };
}
