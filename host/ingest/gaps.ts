// A log book that lacks what a controller has already passed on: restored from an older copy, or a fresh one. The
// controller is asked to send again what it keeps; what it no longer keeps is reported as missing.
import type { StateMessage } from '../../firmware/contract/messages';
import { type HostClock, risingMs } from '../clock';

export interface GapOptions {
  clock: HostClock;
  /**
   * Asks a controller to send everything it keeps once more, and resolves with whether it will. It never rejects.
   * Without it the gap stays.
   */
  sendAgain?: (address: string) => Promise<boolean>;
  onProblem?: (sentence: string) => void;
}

interface Gap {
  /** What the controller called acknowledged when it was asked. */
  acked: number;
  /** When it answered, on a clock that only rises, ms; undefined while it has not. */
  answeredMs?: number;
  agreed: boolean;
  told: boolean;
  /** Records up to here are missing for good, and are counted as held; 0: none are. */
  givenUp: number;
}

/** A state published before the controller took the order may arrive this long after its answer, ms. */
const LATE_STATE_MS = 60_000;
/** Until a controller that did not agree is asked again, ms. */
const ASK_AGAIN_MS = 3_600_000;

export class Gaps {
  /** Per address and journal. */
  private readonly gaps = new Map<string, Gap>();

  constructor(private readonly o: GapOptions) {}

  /** Number up to which missing records of a journal are given up, 0 if none are. */
  givenUp(address: string, journal: string): number {
    return this.gaps.get(`${address} ${journal}`)?.givenUp ?? 0;
  }

  /** Heeds a fresh state: `through` is the newest record up to which the log book holds all of the journal. */
  heed(address: string, state: StateMessage, through: number): void {
    const name = `${address} ${state.journal}`;
    const gap = this.gaps.get(name);
    if (state.acked <= through) {
      if (gap) gap.givenUp = 0;
      return;
    }
    if (this.o.sendAgain && this.mayAsk(gap)) {
      this.ask(address, name, state.acked);
      return;
    }
    if (gap && gap.answeredMs === undefined) return;
    // Giving up by a state from before the order would acknowledge what is only now on its way.
    if (gap?.agreed && state.acked >= gap.acked && this.sinceMs(gap) < LATE_STATE_MS) return;
    this.giveUp(address, name, state.acked, through);
  }

  private sinceMs(gap: Gap): number {
    return risingMs(this.o.clock) - (gap.answeredMs ?? 0);
  }

  private mayAsk(gap: Gap | undefined): boolean {
    if (!gap) return true;
    return gap.answeredMs !== undefined && !gap.agreed && this.sinceMs(gap) >= ASK_AGAIN_MS;
  }

  private begin(name: string, acked: number): Gap {
    const gap: Gap = { acked, agreed: false, told: false, givenUp: 0 };
    this.gaps.set(name, gap);
    return gap;
  }

  private ask(address: string, name: string, acked: number): void {
    const gap = this.begin(name, acked);
    this.o.onProblem?.(
      `Controller ${address} has already passed on its records up to ${acked}, but this log book does not hold ` +
        'them all. It is asked to send again those that it keeps.',
    );
    void this.o.sendAgain?.(address).then((agreed) => {
      gap.agreed = agreed;
      gap.answeredMs = risingMs(this.o.clock);
    });
  }

  private giveUp(address: string, name: string, acked: number, through: number): void {
    const gap = this.gaps.get(name) ?? this.begin(name, acked);
    gap.givenUp = acked;
    if (gap.told) return;
    gap.told = true;
    this.o.onProblem?.(
      `This log book lacks some of the records ${through + 1} to ${acked} of controller ${address}, and the ` +
        'controller has not sent them again. Use the log book that has them, or keep it as evidence.',
    );
  }
}
