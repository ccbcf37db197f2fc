// A host that takes over a changed site without the end of its process: it stops all its parts and starts them again
// with the new site, as a restart would. The controllers are autonomous and keep their plan meanwhile; what they record
// waits there until the log book has it.
import { type Served, type ServeOptions, serve } from './serve';
import type { ReadySite } from './takingOver';

export interface Lasting {
  /** The host as it is at present. */
  served(): Served;
  /** Resolves with the reason if it could not start again, or another host has its log book; it has then stopped. */
  readonly failed: Promise<Error>;
  stop(): Promise<void>;
}

/** Starts a host as `serve` does. @throws Error with one sentence, as `serve` does */
export async function serveLasting(options: ServeOptions): Promise<Lasting> {
  let fail: (why: Error) => void = () => {};
  const failed = new Promise<Error>((resolve) => {
    fail = resolve;
  });
  let turn: Promise<void> = Promise.resolve();
  let isOver = false;
  const start = (o: ServeOptions): Promise<Served> => serve({ ...o, takeOver, onTaken });
  // Nothing of it is stored any more, and its page would show what is no longer so.
  const onTaken = (sentence: string): void => {
    isOver = true;
    turn = turn
      .then(() => served.stop())
      .then(
        () => fail(new Error(sentence)),
        () => fail(new Error(sentence)),
      );
  };
  const takeOver = (next: ReadySite): void => {
    turn = turn.then(() => restart(next)).catch(fail);
  };
  let served = await start(options);
  // Pages and controllers come back to the same places.
  const port = options.port || Number(new URL(served.url).port);
  const places = { port, ...(options.broker === undefined && { brokerPort: served.brokerPort }) };
  const restart = async (next: ReadySite): Promise<void> => {
    if (isOver) return;
    const tls = served.tls();
    await served.stop();
    served = await start({ ...options, ...places, ...next, ...(tls && { tls }) });
  };
  return {
    served: () => served,
    failed,
    async stop() {
      isOver = true;
      await turn;
      await served.stop();
    },
  };
}
