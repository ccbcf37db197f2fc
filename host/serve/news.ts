// What is looked at again and again, and told only when it is new.

/** @param said what whoever opened it has told already */
export class News {
  private said: Set<string>;

  constructor(
    private readonly tell: (sentence: string) => void,
    said: readonly string[] = [],
  ) {
    this.said = new Set(said);
  }

  /** Tells what was not so at the look before. */
  say(sentences: readonly string[]): void {
    for (const sentence of sentences) if (!this.said.has(sentence)) this.tell(sentence);
    this.said = new Set(sentences);
  }
}
