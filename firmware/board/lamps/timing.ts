// Times on a Modbus RTU line. Clauses are those of MODBUS over Serial Line, Specification and Implementation
// Guide V1.02 (Modbus-IDA, 2006).

/** Bits of a character: start, eight of data, parity or a second stop bit, stop (2.5.1). */
const CHARACTER_BITS = 11;
/** Characters of a request for one register, and of its answer (Application Protocol V1.1b3, 6.4). */
export const REQUEST_BYTES = 8;
export const ANSWER_BYTES = 7;

export const enum BusTime {
  /** Longest wait for an answer, from the request's first bit, ms. Leaves 16 modules time for a sweep. */
  Answer = 150,
  /** A module that was silent before is listened to for this much longer, ms: it may only be slow. */
  Late = 150,
  /** Nothing is waited for or asked again once a sweep has taken this long, ms: a reading must end. */
  Extras = 1500,
  /** A sweep that has taken this long will not end, ms. */
  Stuck = 4500,
}

/** Silence that ends a frame, ms: 3.5 characters, or 1.75 ms above 19,200 bit/s (2.5.1.1). */
export function silenceMs(baud: number): number {
  return baud > 19200 ? 1.75 : (3.5 * CHARACTER_BITS * 1000) / baud;
}

/**
 * One register asked for and answered, silences included, ms.
 * @param reactionMs from the end of the request to the answer beyond the silence, and the program's own time
 */
export function exchangeMs(baud: number, reactionMs: number): number {
  const characters = REQUEST_BYTES + ANSWER_BYTES;
  return (characters * CHARACTER_BITS * 1000) / baud + 2 * silenceMs(baud) + reactionMs;
}
