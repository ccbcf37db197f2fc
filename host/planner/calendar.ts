import { TestKind } from '../../firmware/contract/codes';
import type { Night } from './nights';

/** Circuits that share a night begin at least this far apart, s (common practice, no source). */
export const STAGGER_SEC = 600;

/** One chance of one circuit's test in one night. */
export interface Entry {
  circuit: string;
  kind: TestKind;
  /** Least length of its slot, s. */
  needSec: number;
}

export interface Span {
  start: number;
  end: number;
}

/**
 * Slots of the tests that share a night, in the order given, or undefined when they do not fit. Long tests
 * (full and limited) go first and keep the night to its end. As long as no more tests share the night than may be open at
 * once, so do brief tests; else they take turns in the lanes that are left.
 */
export function layOut(night: Night, entries: Entry[], atOnce: number): Span[] | undefined {
  let longs = 0;
  let step = STAGGER_SEC;
  for (const { kind, needSec } of entries) {
    if (kind !== TestKind.Brief) longs++;
    else if (needSec > step) step = needSec;
  }
  const lanes = atOnce - longs;
  if (lanes < 0 || (entries.length > longs && lanes === 0)) return undefined;
  const crowded = entries.length > atOnce;
  const order = entries.map((_, i) => i);
  if (longs > 0) order.sort((a, b) => entries[b].kind - entries[a].kind || a - b);
  const out: Span[] = [];
  for (let place = 0; place < order.length; place++) {
    const entry = entries[order[place]];
    const start = night.start + place * step;
    const turn = crowded && entry.kind === TestKind.Brief && place + lanes < order.length;
    const end = turn ? Math.min(night.end, start + lanes * step) : night.end;
    if (end - start < entry.needSec) return undefined;
    out[order[place]] = { start, end };
  }
  return out;
}

/** What has been put on one night, and where it lies. */
interface Booked {
  entries: Entry[];
  spans: Span[];
}

const NOTHING: Booked = { entries: [], spans: [] };

/** What has been put on each night so far. */
export class Calendar {
  private readonly booked = new Map<number, Booked>();

  constructor(private readonly atOnce: number) {}

  private on(night: Night): Booked {
    return this.booked.get(night.night) ?? NOTHING;
  }

  /** Adds the entry if the night can hold it beside what is there already. */
  tryAdd(night: Night, entry: Entry): boolean {
    const entries = [...this.on(night).entries, entry];
    const spans = layOut(night, entries, this.atOnce);
    if (!spans) return false;
    this.booked.set(night.night, { entries, spans });
    return true;
  }

  /** Takes a circuit's entry off a night again. */
  remove(night: Night, circuit: string): void {
    const entries = this.on(night).entries.filter((entry) => entry.circuit !== circuit);
    // What fitted beside more fits without it.
    this.booked.set(night.night, { entries, spans: layOut(night, entries, this.atOnce) as Span[] });
  }

  /** Full and limited tests already on a night. */
  longsOn(night: Night): number {
    return this.on(night).entries.filter((entry) => entry.kind !== TestKind.Brief).length;
  }

  /** The slot of a circuit's entry on a night, once all entries are in. */
  spanOf(night: Night, circuit: string): Span {
    const { entries, spans } = this.on(night);
    return spans[entries.findIndex((entry) => entry.circuit === circuit)];
  }
}
