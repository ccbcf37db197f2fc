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
  /** A new stream, whose first event is `first`; undefined if there are too many, of all or of this reader. */
  open(first: EventPayloads['clock'], reader?: Reader): ReadableStream<Uint8Array> | undefined;
  listeners(): number;
  close(): void;
}

/** Who reads a stream: it ends at the first clock event at which they may no longer stay. */
export interface Reader {
  /** The same for all streams of one session; '' where nobody signs in. */
  session: string;
  mayStay(): boolean;
}

const ANYBODY: Reader = { session: '', mayStay: () => true };
/** Streams at once, of all and of one session; a page without one asks again and again instead. */
export const STREAMS_MAX = 100;
export const PER_SESSION_MAX = 8;

/**
 * Most bytes that may wait for a page that does not read; beyond that it is dropped, and its browser
 * reconnects.
 */
const BACKLOG_BYTES = 1 << 20;

function frame(name: string, payload: unknown): Uint8Array {
  return new TextEncoder().encode(`event: ${name}\ndata: ${JSON.stringify(payload)}\n\n`);
}

export function newEventHub(): EventHub {
  const pages = new Map<ReadableStreamDefaultController<Uint8Array>, Reader>();
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
      for (const [page, reader] of pages) {
        if ((page.desiredSize ?? 0) <= 0 || (name === 'clock' && !reader.mayStay())) drop(page);
        else page.enqueue(bytes);
      }
    },
    open(first, reader = ANYBODY) {
      const isMine = ({ session }: Reader): boolean => session !== '' && session === reader.session;
      const open = [...pages.values()].filter(isMine).length;
      if (pages.size >= STREAMS_MAX || open >= PER_SESSION_MAX) return undefined;
      let mine: ReadableStreamDefaultController<Uint8Array> | undefined;
      return new ReadableStream<Uint8Array>(
        {
          start(page) {
            mine = page;
            pages.set(page, reader);
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
