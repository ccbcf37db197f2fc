// One question to the host, asked again whenever its answer may be old.

export interface Answers<T> {
  take(value: T): void;
  failed(error: Error): void;
}

/**
 * Asks once at a time. While the host is slow, news come faster than answers: each answer is taken all the same, and
 * the question asked once more after it, so that what is shown is never older than one answer.
 */
export class Questions<T> {
  private isAsking = false;
  private isOld = false;
  private hasLeft = false;

  constructor(
    private readonly ask: () => Promise<T>,
    private readonly answers: Answers<T>,
  ) {}

  /** Asks now, or as soon as the present answer is there. */
  async again(): Promise<void> {
    this.isOld = true;
    if (this.isAsking) return;
    this.isAsking = true;
    while (this.isOld && !this.hasLeft) {
      this.isOld = false;
      await this.once();
    }
    this.isAsking = false;
  }

  /** No answer is taken any more. */
  leave(): void {
    this.hasLeft = true;
  }

  private async once(): Promise<void> {
    const { take, failed } = this.answers;
    await this.ask().then(
      (value) => !this.hasLeft && take(value),
      (error: Error) => !this.hasLeft && failed(error),
    );
  }
}
