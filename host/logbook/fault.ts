// What is wrong with a log book: a bounded list, all of it counted, told apart by what it speaks against.

/**
 * storage: the file gives not all of itself, or its indexes and tables contradict each other. chain: an entry
 * is not as it was written, or is missing. tree, checkpoint: entries and what was signed over them. controller:
 * what one controller wrote. signature: an entry's author. witness: what others have signed or noted. memory:
 * what the host derives from entries.
 */
export const PARTS = [
  ...(['storage', 'chain', 'tree', 'checkpoint', 'controller', 'signature', 'witness', 'memory'] as const),
];
export type Part = (typeof PARTS)[number];

export interface Fault {
  part: Part;
  /** Number of the entry, 0 if it is about the log book as a whole. */
  entry: number;
  /** Last entry of a range that begins at `entry`. */
  to?: number;
  /** Plain sentence. */
  why: string;
  /** The log book said so itself when the record arrived, so nobody has changed it since. */
  said?: true;
  /** What the entry is about: circuit, luminaires, night. */
  about?: string;
}

export type Counts = { [part in Part]?: number };

/** Most faults of one part that are listed; all are counted. */
export const LISTED_MAX = 100;

export interface FaultList {
  add(fault: Fault): void;
  readonly listed: readonly Fault[];
  /** Without those that the log book said itself. */
  readonly counts: Readonly<Counts>;
  /** Faults that the log book said itself. */
  readonly said: number;
}

/** @param onFault is given each fault that is listed, at once */
export function faultList(onFault: (fault: Fault) => void = () => {}): FaultList {
  const listed: Fault[] = [];
  const counts: Counts = {};
  const seen = new Map<string, number>();
  let said = 0;
  return {
    listed,
    counts,
    get said() {
      return said;
    },
    add(fault) {
      if (fault.said) said++;
      else counts[fault.part] = (counts[fault.part] ?? 0) + 1;
      const name = `${fault.part} ${fault.said ?? false}`;
      const before = seen.get(name) ?? 0;
      seen.set(name, before + 1);
      if (before >= LISTED_MAX) return;
      listed.push(fault);
      onFault(fault);
    },
  };
}
