// A progress bar for long runs: only when someone watches a terminal, never into a file or a pipe.

export interface ProgressBar {
  /** Counts this many more as done; one by default. */
  step(more?: number): void;
  /** A line that stays, above the bar. */
  tell(line: string): void;
  /** Removes the bar. */
  end(): void;
}

const WIDTH = 30;
/** Shortest time between two drawings, ms. */
const PAUSE_MS = 100;

/** Text of the bar: `done` of `total`, and the remaining time estimated from the time taken so far. */
export function barText(done: number, total: number, what: string, tookMs: number): string {
  const share = total > 0 ? Math.min(1, done / total) : 1;
  const full = Math.round(share * WIDTH);
  const left = done > 0 ? Math.round(((tookMs / done) * (total - done)) / 1000) : 0;
  const wait = done > 0 && done < total ? `, about ${left} s left` : '';
  return `[${'#'.repeat(full)}${'.'.repeat(WIDTH - full)}] ${done} of ${total} ${what}${wait}`;
}

/** A bar on standard error; silent if `isQuiet` or if that is no terminal. */
export function progressBar(total: number, what: string, isQuiet: boolean): ProgressBar {
  const isShown = process.stderr.isTTY === true && !isQuiet;
  const began = performance.now();
  let done = 0;
  let drawnAt = Number.NEGATIVE_INFINITY;
  const clear = isShown ? '\r\u001b[K' : '';
  return {
    step: (more = 1) => {
      done += more;
      const now = performance.now();
      if (!isShown || (now - drawnAt < PAUSE_MS && done < total)) return;
      drawnAt = now;
      process.stderr.write(clear + barText(done, total, what, now - began));
    },
    tell: (line) => {
      process.stderr.write(`${clear}${line}\n`);
      drawnAt = Number.NEGATIVE_INFINITY;
    },
    end: () => {
      process.stderr.write(clear);
    },
  };
}
