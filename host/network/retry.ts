/**
 * Wait before the next attempt to connect, ms: doubled with each failure in a row, and spread so that many who lost the
 * same connection do not come back at once.
 * @param failures before this wait, from 0
 */
export function retryMs(failures: number, { leastMs, mostMs }: { leastMs: number; mostMs: number }): number {
  const full = Math.min(mostMs, leastMs * 2 ** failures);
  return Math.round(full * (0.5 + Math.random() / 2));
}
