// Questions of passkeys that wait for an answer; each may be answered once. Anybody may have some asked, so each network has a
// share of what is kept, and more of one network push out its own only.

/** How long the browser may take to answer, s. */
export const ANSWER_SEC = 300;
/** Questions open at the same time, in all and of one network; the oldest go first. */
const OPEN_MAX = 5000;
const SHARE_MAX = 50;

interface Question {
  about: string;
  from: string;
  /** UTC second. */
  until: number;
}

export class OpenQuestions {
  /** By challenge, oldest first. */
  private readonly list = new Map<string, Question>();
  private readonly shares = new Map<string, Set<string>>();

  get size(): number {
    return this.list.size;
  }

  /**
   * @param about what an answer must be for
   * @param from network of who asks
   * @param now UTC second
   */
  add(challenge: string, about: string, from: string, now: number): void {
    for (const [old, { until }] of this.list) {
      if (now <= until) break;
      this.drop(old);
    }
    const own = this.shares.get(from);
    if (own && own.size >= SHARE_MAX) this.dropOldest(own);
    else if (this.list.size >= OPEN_MAX) this.dropOldest(this.largest());
    this.list.set(challenge, { about, from, until: now + ANSWER_SEC });
    const share = this.shares.get(from) ?? new Set();
    this.shares.set(from, share.add(challenge));
  }

  /** True if this was asked, not long ago, and not answered yet. */
  take(challenge: string, about: string, now: number): boolean {
    const found = this.list.get(challenge);
    if (found?.about !== about) return false;
    this.drop(challenge);
    return now <= found.until;
  }

  private largest(): Set<string> {
    return [...this.shares.values()].reduce((most, one) => (one.size > most.size ? one : most));
  }

  private dropOldest(share: Set<string>): void {
    const [oldest] = share;
    this.drop(oldest);
  }

  private drop(challenge: string): void {
    const { from } = this.list.get(challenge)!;
    this.list.delete(challenge);
    const share = this.shares.get(from)!;
    share.delete(challenge);
    if (share.size === 0) this.shares.delete(from);
  }
}
