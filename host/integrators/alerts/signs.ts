// A sign of life for a webhook, where one is wanted: whoever misses it knows that the host, or the way from it, is gone.

/** Seconds from one to the next, by what the file of the alerts says. */
export const SIGN_EVERY_SEC = { hourly: 3600, daily: 86_400 } as const;
export type SignPace = keyof typeof SIGN_EVERY_SEC;

export interface SignsOptions {
  /** Names the receiver in sentences. */
  name: string;
  pace: SignPace;
  /** Rejects with the reason if it may not have arrived. */
  send(): Promise<void>;
  /** UTC second by which they are sent: receivers count real hours. */
  waitNow(): number;
  onProblem(sentence: string): void;
}

export interface Signs {
  /** Everything is known and looked at; called again and again. It never rejects. */
  look(): Promise<void>;
}

/** After one that could not be sent, s. */
const AGAIN_SEC = 60;

/** The first sign of life is due at once: a start is what a receiver waits for. */
export function newSigns({ name, pace, send, waitNow, onProblem }: SignsOptions): Signs {
  let nextAt = 0;
  let isSending = false;
  let isRefused = false;
  const put = async (): Promise<number> => {
    try {
      await send();
      isRefused = false;
      return SIGN_EVERY_SEC[pace];
    } catch (error) {
      // Said once until one has arrived: nobody's disk fills with it.
      if (!isRefused)
        onProblem(
          `The sign of life could not be sent to ${name} (${(error as Error).message}); it is tried again every minute.`,
        );
      isRefused = true;
      return AGAIN_SEC;
    }
  };
  return {
    async look() {
      const wait = nextAt - waitNow();
      // No wait is longer: the clock has been put back.
      if (isSending || (wait > 0 && wait <= SIGN_EVERY_SEC[pace])) return;
      isSending = true;
      nextAt = waitNow() + (await put());
      isSending = false;
    },
  };
}
