// What a running host says, one sentence a line on stderr.

let isGuarded = false;

/**
 * Where the lines go may be a file on the disk that is full, or a terminal that is gone. Node then reports the
 * failed write as an event of the stream, and ends the process if nobody takes it.
 */
export function outliveLostLines(): void {
  if (isGuarded) return;
  isGuarded = true;
  for (const stream of [process.stdout, process.stderr]) stream.on('error', () => {});
}

/** Says a sentence. It never throws. */
export function tell(sentence: string): void {
  process.stderr.write(`${sentence}\n`);
}
