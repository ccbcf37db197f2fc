// Server-sent events: one stream per open page, fed from one place.
import type { ControllerStatus, LiveReading, LogEntryView } from '../api/views';

export interface EventPayloads {
  status: ControllerStatus;
  live: LiveReading;
  entry: LogEntryView;
  clock: { now: number; speed: number };
}

export interface EventHub {
  /** Sends to every open page. */
  send<K extends keyof EventPayloads>(name: K, payload: EventPayloads[K]): void;
  /** A new stream, whose first event is `first`; it ends at the first clock event at which it may no longer stay. */
  open(first: EventPayloads['clock'], mayStay?: () => boolean): ReadableStream<Uint8Array>;
  listeners(): number;
  close(): void;
}

/**
 * Most bytes that may wait for a page that does not read; beyond that it is dropped, and its browser
 * reconnects.
 */
const BACKLOG_BYTES = 1 << 20;

function frame(name: string, payload: unknown): Uint8Array {
  return new TextEncoder().encode(`event: ${name}\ndata: ${JSON.stringify(payload)}\n\n`);
}

export function newEventHub(): EventHub {
  const pages = new Map<ReadableStreamDefaultController<Uint8Array>, () => boolean>();
  const drop = (page: ReadableStreamDefaultController<Uint8Array>): void => {
    pages.delete(page);
    try {
      page.close();
    } catch {
      // The browser was faster.
    }
  };
  return {
    send(name, payload) {
      if (pages.size === 0) return;
      const bytes = frame(name, payload);
      for (const [page, mayStay] of pages) {
        if ((page.desiredSize ?? 0) <= 0 || (name === 'clock' && !mayStay())) drop(page);
        else page.enqueue(bytes);
      }
    },
    open(first, mayStay = () => true) {
      let mine: ReadableStreamDefaultController<Uint8Array> | undefined;
      return new ReadableStream<Uint8Array>(
        {
          start(page) {
            mine = page;
            pages.set(page, mayStay);
            page.enqueue(frame('clock', first));
          },
          cancel() {
            if (mine) pages.delete(mine);
          },
        },
        new ByteLengthQueuingStrategy({ highWaterMark: BACKLOG_BYTES }),
      );
    },
    listeners: () => pages.size,
    close() {
      for (const page of [...pages.keys()]) drop(page);
    },
  };
}
