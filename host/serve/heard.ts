// When each controller was last heard, kept across a restart: the count of silence must not restart with the
// host, and must not follow the civil clock, which somebody may set.
import { z } from 'zod';
import { topicOf } from '../../firmware/contract/topics';
import { type HostClock, nowSec, risingMs } from '../clock';
import type { Ingest } from '../ingest/ingest';
import type { Memory } from '../logbook/memory';

const storedSchema = z.record(
  z.string(),
  z.object({
    /** UTC second. */
    at: z.number().int().min(0),
    /** The signed state message. */
    text: z.string(),
    /** Seconds of silence when this was stored. */
    silent: z.number().min(0).default(0),
  }),
);

/** When a controller was heard: UTC second, and s of the clock that nobody sets. */
export interface Heard {
  at: number;
  up: number;
}

export interface ArrivedState {
  text: string;
  /** An old one, kept by the broker or by us. */
  retained: boolean;
  /** UTC second it was made, by the controller's clock; 0 if that was not set. */
  stateUtc: number;
}

export interface HeardList {
  /** When the controller was heard: now if the state is fresh, else what is known of it. */
  note(address: string, arrived: ArrivedState): Heard;
  /** Passes what was stored to the ingest, which checks it like anything else. */
  replay(ingest: Pick<Ingest, 'accept'>): void;
  save(): void;
}

function stored(memory: Memory): z.infer<typeof storedSchema> {
  try {
    return storedSchema.parse(JSON.parse(memory.recall('heard')));
  } catch {
    // Nothing stored yet, or nothing readable: they will all report again.
    return {};
  }
}

/** Silent for at least as long as was stored; a civil clock put back since must not make it shorter. */
function agedBy(now: number, at: number, silentSec: number): number {
  return Math.max(silentSec, now - at, 0);
}

class MemoryHeardList implements HeardList {
  private readonly list = new Map<string, Heard & { text: string }>();

  constructor(
    private readonly memory: Memory,
    private readonly clock: HostClock,
  ) {
    const [now, up] = [nowSec(clock), this.up()];
    for (const [address, { at, text, silent }] of Object.entries(stored(memory)))
      this.list.set(address, { at: Math.min(now, at), up: up - agedBy(now, at, silent), text });
  }

  note(address: string, { text, retained, stateUtc }: ArrivedState): Heard {
    const [now, up] = [nowSec(this.clock), this.up()];
    const before = this.list.get(address);
    const made = { at: Math.min(now, stateUtc), up: up - agedBy(now, stateUtc, 0) };
    let heard: Heard = { at: now, up };
    // The same text was heard before, whatever the clocks say by now.
    const isKnown = before !== undefined && (before.text === text || before.at >= made.at);
    if (retained) heard = isKnown ? before : made;
    this.list.set(address, { at: heard.at, up: heard.up, text });
    return heard;
  }

  replay(ingest: Pick<Ingest, 'accept'>): void {
    for (const [address, { text }] of [...this.list]) ingest.accept(topicOf(address, 'state'), text, true);
  }

  save(): void {
    // Also if nobody was heard: the silence has grown.
    if (this.list.size === 0) return;
    const up = this.up();
    const list = [...this.list].map(([address, heard]) => {
      const { at, text } = heard;
      return [address, { at, text, silent: Math.round(up - heard.up) }];
    });
    this.memory.remember('heard', JSON.stringify(Object.fromEntries(list)));
  }

  private up(): number {
    return risingMs(this.clock) / 1000;
  }
}

/** See `HeardList`. */
export function newHeardList(memory: Memory, clock: HostClock): HeardList {
  return new MemoryHeardList(memory, clock);
}
