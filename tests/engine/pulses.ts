// When the edges of the relay's pulse train come on a board, where a turn and a received message take time:
// one program, one thing after another. The trace gives the instants; the durations are parameters.
import { msOf } from './lines';

/** Period of the loop, ms: one edge in each turn, so a rising edge in every second one. */
const TURN_MS = 250;

export interface Durations {
  /** A turn in which nothing is due, which the trace leaves out, ms. */
  idleMs: number;
  /** A line of the trace: a turn, an opened or closed connection, received data, ms. */
  ofLine(line: string): number;
}

interface Span {
  from: number;
  to: number;
}

/** Spans in which the coil is driven, from the first turn with an edge to the first without. */
function spans(told: string[]): Span[] {
  const changes = told.filter((line) => line[0] === 'P').map(msOf);
  const found: Span[] = [];
  for (let i = 0; i + 1 < changes.length; i += 2) found.push({ from: changes[i], to: changes[i + 1] });
  return found;
}

/** Turns of the loop and whatever else happens in a span, in the order in which it is due. */
function happenings(given: string[], span: Span): string[] {
  const lines = given.filter((line) => msOf(line) >= span.from && msOf(line) < span.to);
  const turns = new Set(lines.filter((line) => line[0] === 'T').map(msOf));
  for (let ms = span.from; ms < span.to; ms += TURN_MS) if (!turns.has(ms)) lines.push(`idle ${ms}`);
  return lines.sort((a, b) => msOf(a) - msOf(b));
}

/** Longest time from one rising edge to the next while the coil is driven, ms; 0 when it never is. */
export function longestPauseMs(given: string[], told: string[], durations: Durations): number {
  let longest = 0;
  for (const span of spans(told)) {
    let free = span.from;
    let rose = span.from;
    let level = 0;
    for (const line of happenings(given, span)) {
      const isIdle = line.startsWith('idle');
      const begins = Math.max(free, msOf(line));
      if (isIdle || line[0] === 'T') {
        level = 1 - level;
        if (level) {
          longest = Math.max(longest, begins - rose);
          rose = begins;
        }
      }
      free = begins + (isIdle ? durations.idleMs : durations.ofLine(line));
    }
  }
  return longest;
}
