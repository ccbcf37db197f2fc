// What a run of a campaign and the process that plays its host say to each other.
import type { Desired } from '../../ingest/answers';
import type { OrderWish } from '../../orders/orders';

/** Where the process finds its log book, and the site it serves. */
export interface HostPlace {
  db: string;
  site: string;
}

/** A message from a controller, and the UTC ms that the host's clock then shows. */
export interface Heard {
  topic: string;
  payload: string;
  utcMs: number;
}

/** What the host is to do; it says when it has done it. Simulated ms. */
export type HostJob = { now: number } & (
  | { do: 'take'; heard: Heard[]; desired: { [address: string]: Desired } }
  | { do: 'order'; address: string; wish: OrderWish; utcMs: number }
  | { do: 'disk'; words: { [name: string]: string } }
  | { do: 'close' }
);

export type HostWord = 'up' | 'done' | { topic: string; payload: string } | { problem: string };

/** Exit code of a host that could not open its log book and has said why. */
export const CANNOT_START = 3;
