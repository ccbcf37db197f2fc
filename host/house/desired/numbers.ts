// How a circuit's plan is numbered where it cannot have the plan's own number: its controller knows a higher
// one, from a host whose memory this one lacks, or because it is faulty or in the wrong hands. What a
// controller claims therefore raises the numbers of its own circuit only, and not without end.
import type { StateMessage } from '../../../firmware/contract/messages';
import type { Memory } from '../../logbook/memory';

/** Highest revision a controller takes (firmware/core/settings.ts and draft.ts). */
export const REVISION_MAX = 4294967295;
/** Times a controller's claim is outbid in one run of the host; an honest one needs a single time. */
const OUTBIDS_MAX = 10;

/** A circuit's own number, for the plan of that revision; another plan starts afresh. */
interface Own {
  plan: number;
  revision: number;
}

/** What a controller claims to have been given. */
export type Claim = Pick<StateMessage, 'settings' | 'plan'>;

export interface Numbers {
  /** The circuit's own number for this plan, 0 if it has none. */
  own(circuit: string, plan: number): number;
  /** Gives the circuit a number of its own for this plan. */
  keep(circuit: string, plan: number, revision: number): void;
  /**
   * Whether a claim above our number may be outbid. Where it may not, the controller is named in a sentence,
   * once.
   */
  mayOutbid(circuit: string, what: keyof Claim, claimed: number): boolean;
}

function impossible(circuit: string, what: keyof Claim, claimed: number): string {
  return (
    `The controller of circuit ${circuit} says it has ${what} number ${claimed}, the last number there is, ` +
    `which no host gives. It can be sent no ${what} any more: it is faulty, or somebody else has its key. ` +
    'Commission it anew, or put another in its place; the other circuits are not affected.'
  );
}

function insistent(circuit: string): string {
  return (
    `The controller of circuit ${circuit} has said ${OUTBIDS_MAX} times that it has a newer plan or newer settings ` +
    'than this host gave it. It is faulty, or somebody else has its key, or another host speaks to it; it is ' +
    'heeded no more until the host is started again. The other circuits are not affected.'
  );
}

class KeptNumbers implements Numbers {
  private readonly owns = new Map<string, Own>();
  private readonly outbids = new Map<string, number>();
  private readonly told = new Set<string>();

  constructor(
    circuits: Iterable<string>,
    private readonly memory: Memory,
    private readonly onProblem?: (sentence: string) => void,
  ) {
    for (const circuit of circuits) {
      const [plan, revision] = memory.recall(`number ${circuit}`).split(' ').map(Number);
      if (plan > 0 && revision > 0) this.owns.set(circuit, { plan, revision });
    }
  }

  own(circuit: string, plan: number): number {
    const own = this.owns.get(circuit);
    return own?.plan === plan ? own.revision : 0;
  }

  keep(circuit: string, plan: number, revision: number): void {
    this.owns.set(circuit, { plan, revision });
    this.memory.remember(`number ${circuit}`, `${plan} ${revision}`);
  }

  mayOutbid(circuit: string, what: keyof Claim, claimed: number): boolean {
    if (claimed >= REVISION_MAX) return this.name(impossible(circuit, what, claimed));
    const before = this.outbids.get(circuit) ?? 0;
    if (before >= OUTBIDS_MAX) return this.name(insistent(circuit));
    this.outbids.set(circuit, before + 1);
    return true;
  }

  private name(sentence: string): false {
    if (!this.told.has(sentence)) this.onProblem?.(sentence);
    this.told.add(sentence);
    return false;
  }
}

/** The numbers of a site's circuits, kept across restarts; see `Numbers`. */
export function createNumbers(
  circuits: Iterable<string>,
  memory: Memory,
  onProblem?: (sentence: string) => void,
): Numbers {
  return new KeptNumbers(circuits, memory, onProblem);
}
