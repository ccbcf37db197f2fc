// What broker and page have to complain about, told so that nobody can fill a disk with it: the first of a kind at once, and
// then once a minute how many more there were.

export interface Complaints {
  /** One attempt. Those with the same `about` count as the same. */
  add(about: string, sentence: string): void;
  close(): void;
}

/** Different complaints told in one minute; the rest are only counted. */
const KINDS_MAX = 20;
const MINUTE_MS = 60_000;

/** @param whose who refuses, as a sentence begins. @param minuteMs length of the minute, ms: for tests */
export function newComplaints(
  tell: (sentence: string) => void,
  whose: string,
  minuteMs = MINUTE_MS,
): Complaints {
  const kinds = new Map<string, { sentence: string; more: number }>();
  let others = 0;
  const sumUp = (): void => {
    for (const [about, kind] of kinds) {
      if (kind.more === 0) kinds.delete(about);
      else tell(`${kind.more} more in the last minute: ${kind.sentence}`);
      kind.more = 0;
    }
    if (others > 0) tell(`${whose} refused ${others} other things in the last minute.`);
    others = 0;
  };
  const timer = setInterval(sumUp, minuteMs);
  timer.unref();
  return {
    add(about, sentence) {
      const kind = kinds.get(about);
      if (kind) kind.more++;
      else if (kinds.size >= KINDS_MAX) others++;
      else {
        kinds.set(about, { sentence, more: 0 });
        tell(sentence);
      }
    },
    close() {
      clearInterval(timer);
      sumUp();
    },
  };
}
