// When to try again to start a building that could not be: soon where a try costs nothing, ever more rarely where it reads the
// whole log book, and at once when the site file has changed.

/** Longest time between tries, in times of the shortest. */
const LONGEST = 60;

export class Retries {
  private wait: number;
  private nextMs = 0;
  private mark: string | undefined;
  private isHeavy = false;

  /** @param againMs shortest time between tries, ms */
  constructor(private readonly againMs: number) {
    this.wait = againMs;
  }

  begun(): void {
    this.isHeavy = false;
  }

  /** From now on the try costs something. */
  opening(): void {
    this.isHeavy = true;
  }

  /** @param mark of the site file that was tried */
  failed(nowMs: number, mark: string): void {
    if (mark !== this.mark || !this.isHeavy) this.wait = this.againMs;
    else this.wait = Math.min(2 * this.wait, LONGEST * this.againMs);
    [this.mark, this.nextMs] = [mark, nowMs + this.wait];
  }

  /** @param mark of the site file as it is now */
  isDue(nowMs: number, mark: string): boolean {
    return this.mark !== undefined && (mark !== this.mark || nowMs >= this.nextMs);
  }
}
