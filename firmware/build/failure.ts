/** A build that cannot continue: one sentence, and the places it refers to, one per line. */
export class BuildError extends Error {
  override name = 'BuildError';

  constructor(
    sentence: string,
    readonly places: string[] = [],
  ) {
    super(places.length > 0 ? `${sentence}:\n  ${places.join('\n  ')}` : `${sentence}.`);
  }
}
