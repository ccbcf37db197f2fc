// Long work in pieces, so that a page stays alive meanwhile.

/** Longest piece of work, ms: half of what people notice. */
const PIECE_MS = 50;
/** Calls from one look at the clock to the next. */
const STEPS = 32;

/** Called often; now and then others get a turn while its promise is awaited. */
export type Turns = () => Promise<void> | undefined;

/** @param nowMs a clock that never goes back, ms */
export function takingTurns(nowMs: () => number = () => performance.now()): Turns {
  let since = nowMs();
  let steps = 0;
  const begin = (): void => {
    since = nowMs();
  };
  return () => {
    if (++steps % STEPS > 0 || nowMs() - since < PIECE_MS) return undefined;
    return new Promise<void>((resolve) => setTimeout(resolve)).then(begin);
  };
}
