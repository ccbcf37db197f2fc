// Long work in short pieces, so that a host that makes a report goes on answering.

/** Longest piece of work, ms. */
const PIECE_MS = 20;

/** Called often; now and then others get a turn while its promise is awaited. */
export type Turns = () => Promise<void> | undefined;

/** @param nowMs a clock that never goes back, ms */
export function takingTurns(nowMs: () => number = () => performance.now()): Turns {
  let since = nowMs();
  const begin = (): void => {
    since = nowMs();
  };
  return () => {
    if (nowMs() - since < PIECE_MS) return undefined;
    return new Promise<void>((resolve) => setImmediate(resolve)).then(begin);
  };
}
