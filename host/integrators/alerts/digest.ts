// Once a day a mail to each receiver says how everything stands.
import { z } from 'zod';
import type { Memory } from '../../logbook/memory';
import { localDate, utcOfLocal } from '../../site/civil';
import type { Site } from '../../site/model';
import type { CircuitMessages } from '../status';
import { digestLetter } from './letters';
import type { Post } from './mail';
import { RefusedForGood } from './queue';
import { recalled } from './recalled';
import { receiverKey } from './receivers';

export interface DigestOptions {
  site: Site;
  simulated: boolean;
  post: Post;
  to: string[];
  /** Civil time of the day, "07:00". */
  digestAt: string;
  memory: Memory;
  /** UTC second of the building. */
  now(): number;
  /** UTC second by which it is tried again. */
  waitNow(): number;
  onProblem(sentence: string): void;
}

export interface Digest {
  /** Sends what is due; called again and again. */
  look(messages: CircuitMessages[]): void;
}

const SENT = 'alerts digest';
/** Date of the last one sent, by the key of its receiver. */
const sentSchema = z.record(z.string(), z.string());
/** After it could not be sent, s. */
const AGAIN_SEC = 900;

class Daily implements Digest {
  private readonly sent: Record<string, string>;
  /** Date of the last refusal for good, by address. Not stored: after a start somebody may have mended it. */
  private readonly refused = new Map<string, string>();
  private nextAt = 0;
  private isSending = false;

  constructor(private readonly o: DigestOptions) {
    this.sent = recalled(o.memory, SENT, sentSchema) ?? {};
  }

  look(messages: CircuitMessages[]): void {
    const { site, simulated, now, waitNow, digestAt, to } = this.o;
    const today = localDate(site.timeZone, now());
    // A date or a wait from a clock that has been put back since holds up nothing.
    const missing = to.filter(
      (address) => this.sent[receiverKey(address)] !== today && this.refused.get(address) !== today,
    );
    const wait = this.nextAt - waitNow();
    const isEarly = now() < utcOfLocal(site.timeZone, `${today}T${digestAt}`);
    if (this.isSending || missing.length === 0 || isEarly || (wait > 0 && wait <= AGAIN_SEC)) return;
    const letter = digestLetter(site, simulated, messages, now());
    this.isSending = true;
    void Promise.all(missing.map((address) => this.send(address, letter, today))).then((sent) => {
      this.isSending = false;
      this.nextAt = sent.every(Boolean) ? 0 : waitNow() + AGAIN_SEC;
    });
  }

  /** Whether it was taken. It never rejects. */
  private async send(to: string, letter: ReturnType<typeof digestLetter>, today: string): Promise<boolean> {
    const { post, site, onProblem } = this.o;
    try {
      await post.send(to, letter, `${site.id} digest ${today}`);
      this.sent[receiverKey(to)] = today;
      this.o.memory.remember(SENT, JSON.stringify(this.sent));
      return true;
    } catch (error) {
      const isForGood = error instanceof RefusedForGood;
      if (isForGood) this.refused.set(to, today);
      const hope = isForGood ? 'tomorrow' : 'in a quarter of an hour';
      onProblem(
        `The daily mail could not be sent to ${to} (${(error as Error).message}); it is tried again ${hope}.`,
      );
      return false;
    }
  }
}

/** See `Digest`. */
export function newDigest(o: DigestOptions): Digest {
  return new Daily(o);
}
