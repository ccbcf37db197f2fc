// When an electrician comes after a report, and how long the circuit is isolated for the work.
import type { Span } from '../plant/spans';

export interface CallOut {
  /** From a report to the visit, at least, ms. */
  afterMs: number;
  /** Instants at which someone may come, sorted, simulated ms; missing, or after the last: any. */
  arrivals?: number[];
}

/** Supply off for a repair, ms (common practice, no source): nobody works on a live luminaire. */
export const ISOLATED_MS = 30 * 60_000;

/** The visit after a report at `at`, for as long as the circuit is isolated. */
export function visitAfter({ afterMs, arrivals = [] }: CallOut, at: number): Span {
  const from = arrivals.find((arrival) => arrival >= at + afterMs) ?? at + afterMs;
  return { from, to: from + ISOLATED_MS };
}
