// The readings of a running test, kept for its live curve in bounded memory.
import type { LiveReading } from '../../api/views';

export interface Trace {
  test: number;
  /** Seconds since the supply was seen to go. */
  t: number[];
  /** One row of mA per instant, in luminaire order. */
  ma: number[][];
  /** Shortest time between two kept readings, s; doubles whenever the trace is full. */
  gap: number;
}

const MOST_POINTS = 240;

/** The trace with `reading` added; a reading of another test, or an earlier one, starts a new trace. */
export function extendTrace(trace: Trace | undefined, reading: LiveReading): Trace {
  const last = trace && trace.t.length > 0 ? trace.t[trace.t.length - 1] : -1;
  if (!trace || trace.test !== reading.test || reading.t < last)
    return { test: reading.test, t: [reading.t], ma: [reading.ma], gap: 0 };
  if (reading.t - last < Math.max(trace.gap, 0.001)) return trace;
  const next = { ...trace, t: [...trace.t, reading.t], ma: [...trace.ma, reading.ma] };
  return next.t.length <= MOST_POINTS ? next : thinned(next);
}

function thinned(trace: Trace): Trace {
  const span = trace.t[trace.t.length - 1] - trace.t[0];
  const keep = (_: unknown, i: number) => i % 2 === 0;
  return { ...trace, t: trace.t.filter(keep), ma: trace.ma.filter(keep), gap: (span / MOST_POINTS) * 2 };
}
