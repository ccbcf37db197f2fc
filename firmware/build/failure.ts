/** A build that cannot go on: one sentence, and the places it speaks of, one line each. */
export class BuildError extends Error {
  override name = 'BuildError';

  constructor(
    sentence: string,
    readonly places: string[] = [],
  ) {
    super(places.length > 0 ? `${sentence}:\n  ${places.join('\n  ')}` : `${sentence}.`);
  }
}
