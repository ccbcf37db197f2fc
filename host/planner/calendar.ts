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
  const longs = entries.filter((entry) => entry.kind !== TestKind.Brief).length;
  const briefs = entries.length - longs;
  const lanes = atOnce - longs;
  if (lanes < 0 || (briefs > 0 && lanes === 0)) return undefined;
  const crowded = entries.length > atOnce;
  const step = Math.max(STAGGER_SEC, ...entries.map((e) => (e.kind === TestKind.Brief ? e.needSec : 0)));
  const order = entries.map((_, i) => i).sort((a, b) => entries[b].kind - entries[a].kind || a - b);
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

/** What has been put on each night so far. */
export class Calendar {
  private readonly entries = new Map<number, Entry[]>();

  constructor(private readonly atOnce: number) {}

  /** Adds the entry if the night can hold it beside what is there already. */
  tryAdd(night: Night, entry: Entry): boolean {
    const present = this.entries.get(night.night) ?? [];
    if (!layOut(night, [...present, entry], this.atOnce)) return false;
    this.entries.set(night.night, [...present, entry]);
    return true;
  }

  /** Takes a circuit's entry off a night again. */
  remove(night: Night, circuit: string): void {
    const present = this.entries.get(night.night) ?? [];
    this.entries.set(
      night.night,
      present.filter((entry) => entry.circuit !== circuit),
    );
  }

  /** Full and limited tests already on a night. */
  longsOn(night: Night): number {
    return (this.entries.get(night.night) ?? []).filter((entry) => entry.kind !== TestKind.Brief).length;
  }

  /** The slot of a circuit's entry on a night, once all entries are in. */
  spanOf(night: Night, circuit: string): Span {
    const present = this.entries.get(night.night)!;
    return layOut(night, present, this.atOnce)![present.findIndex((entry) => entry.circuit === circuit)];
  }
}
