// Keeps the broker's place by TLS up with its files: whoever renews a certificate starts nothing again, and what cannot be
// used changes nothing.
import type { Broker } from '../broker/broker';
import { endsOf, type PemFiles, type Pems, readPems } from '../broker/pems';
import { guarded } from '../guarded';
import { News } from './news';

export interface BrokerKeeperOptions {
  files: PemFiles;
  secure: NonNullable<Broker['secure']>;
  /** What it was opened with. */
  present: Pems;
  /** Civil time, UTC ms. */
  nowMs(): number;
  onProblem(sentence: string): void;
}

/** Time between two looks at the files, and at the certificates of those who are connected, ms. */
const LOOK_MS = 60_000;

export class BrokerKeeper {
  private readonly timer: NodeJS.Timeout;
  private present: Pems;
  private readonly news: News;

  /** It has looked once. */
  constructor(private readonly o: BrokerKeeperOptions) {
    const { files, present, nowMs, onProblem } = o;
    this.present = present;
    // Whoever opened it has said this.
    this.news = new News(
      onProblem,
      endsOf(files, present, nowMs()).map(({ words }) => words),
    );
    this.timer = setInterval(
      guarded(() => this.look(), onProblem),
      LOOK_MS,
    );
    this.look();
  }

  look(): void {
    const { secure, nowMs } = this.o;
    const now = nowMs();
    this.news.say(this.follow(now));
    secure.review(now);
  }

  /** Takes what is in the files now, where it can be used. @returns what people should know */
  private follow(now: number): string[] {
    const { files, secure } = this.o;
    const { present } = this;
    const ends = endsOf(files, present, now);
    const known = ends.map(({ words }) => words);
    try {
      const next = readPems(files);
      if (next.cert === present.cert && next.key === present.key && next.clients === present.clients)
        return known;
      const nextEnds = endsOf(files, next, now);
      const isEnded = (which: string): boolean => ends.some((one) => one.which === which && one.hasEnded);
      const worse = nextEnds.filter(({ which, hasEnded }) => hasEnded && !isEnded(which));
      if (worse.length > 0) throw new Error(worse.map(({ words }) => words).join(' '));
      secure.renew(next);
      this.present = next;
      this.o.onProblem(`The broker goes on by TLS with the new files in ${files.folder}.`);
      return nextEnds.map(({ words }) => words);
    } catch (error) {
      const why = (error as Error).message;
      return [...known, `${why} Until then the broker goes on by TLS with the certificates it has.`];
    }
  }

  close(): void {
    clearInterval(this.timer);
  }
}
