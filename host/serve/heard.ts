// When each controller was last heard, kept across a restart: the count of silence must not restart with the
// host.
import { topicOf } from '../../firmware/contract/topics';
import type { Ingest } from '../ingest/ingest';
import type { Memory } from '../logbook/memory';

interface Heard {
  at: number;
  /** The signed state message. */
  text: string;
}

export interface HeardList {
  /** UTC second for a state of this address: now if fresh, else what is known of it. */
  note(address: string, text: string, retained: boolean, stateUtc: number, now: number): number;
  /** Passes what was stored to the ingest, which checks it like anything else. */
  replay(ingest: Ingest): void;
  save(): void;
}

export function newHeardList(memory: Memory): HeardList {
  let list: Record<string, Heard> = {};
  let changed = false;
  try {
    list = JSON.parse(memory.recall('heard')) as Record<string, Heard>;
  } catch {
    // Nothing stored yet, or nothing readable: they will all report again.
  }
  return {
    note(address, text, retained, stateUtc, now) {
      const before = list[address]?.at ?? 0;
      const at = retained ? Math.min(now, Math.max(before, stateUtc)) : now;
      list[address] = { at, text };
      changed = true;
      return at;
    },
    replay(ingest) {
      for (const [address, heard] of Object.entries(list))
        ingest.accept(topicOf(address, 'state'), heard.text, true);
    },
    save() {
      if (changed) memory.remember('heard', JSON.stringify(list));
      changed = false;
    },
  };
}
