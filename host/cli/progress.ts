// A progress bar for long runs: only where somebody looks at a terminal, never into a file or a pipe.

export interface ProgressBar {
  /** So many more are done; one unless told. */
  step(more?: number): void;
  /** A line that stays, above the bar. */
  tell(line: string): void;
  /** Takes the bar away. */
  end(): void;
}

const WIDTH = 30;
/** Shortest time between two drawings, ms. */
const PAUSE_MS = 100;

/** Text of the bar: `done` of `total`, and how much longer it will take by the time taken so far. */
export function barText(done: number, total: number, what: string, tookMs: number): string {
  const share = total > 0 ? Math.min(1, done / total) : 1;
  const full = Math.round(share * WIDTH);
  const left = done > 0 ? Math.round(((tookMs / done) * (total - done)) / 1000) : 0;
  const wait = done > 0 && done < total ? `, about ${left} s left` : '';
  return `[${'#'.repeat(full)}${'.'.repeat(WIDTH - full)}] ${done} of ${total} ${what}${wait}`;
}

/** A bar on the standard error stream; silent when `isQuiet` or when that is no terminal. */
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
