// A fleet at a pace people can watch, its controllers on a real broker. Simulated time runs slowly while
// something happens and fast while nothing does; the network's patience runs in real time.

import { Phase } from '../firmware/contract/codes';
import type { Fleet } from './fleet';
import { LiveLinks } from './links';
import type { BrokerPlace } from './tcp';

/** Real ms between two rounds. */
const ROUND_MS = 20;
/** Longest simulated step before the pace is reconsidered, ms. */
const STEP_MS = 5000;
/** Longest real time to catch up after the process was held up, ms. */
const CATCH_UP_MS = 200;

/** Real ms at the slow pace after the start: time to open the page. */
const CURTAIN_MS = 8000;

/** Simulated seconds per real second, by what is going on. */
export const PACE = { held: 0.1, first: 3, brief: 8, full: 240, quiet: 3600 } as const;

/** Real ms after a hold in which a short test runs at the pace `first`: time to find the page's button. */
const FIRST_MS = 60_000;

export interface LiveOptions {
  fleet: Fleet;
  broker: BrokerPlace;
  /** A fixed pace, or one of the caller's, instead of the changing one; above 0. */
  pace?: number | (() => number);
  /** True while time should all but stand still, because nobody is there to watch; not with a fixed pace. */
  isHeld?: () => boolean;
  /** Called once a round, after it. */
  onRound?: () => void;
}

function isBusy(phase: Phase | undefined): boolean {
  return phase === Phase.Opening || phase === Phase.Brief || phase === Phase.Restoring;
}

export class LiveFleet {
  private readonly timer: NodeJS.Timeout;
  private readonly links: LiveLinks;
  private last = performance.now();
  /** When the curtain rose: after the start, or after the hold. */
  private risen = this.last;
  private wasHeld = false;
  /** Simulated ms to reach, with the fraction left over. */
  private target: number;

  constructor(private readonly o: LiveOptions) {
    this.target = o.fleet.now;
    this.links = new LiveLinks({ fleet: o.fleet, broker: o.broker });
    this.timer = setInterval(() => this.round(), ROUND_MS);
  }

  /** Simulated seconds per real second at this moment. */
  pace(): number {
    const { pace } = this.o;
    if (pace !== undefined) return typeof pace === 'number' ? pace : pace();
    if (this.o.isHeld?.()) return PACE.held;
    const since = this.last - this.risen;
    const phases = this.o.fleet.nodes.map((node) => node.controller?.core.phase);
    if (phases.some(isBusy)) return this.wasHeld && since < FIRST_MS ? PACE.first : PACE.brief;
    if (since < CURTAIN_MS) return PACE.brief;
    return phases.includes(Phase.Full) ? PACE.full : PACE.quiet;
  }

  stop(): void {
    clearInterval(this.timer);
    this.links.close();
  }

  private round(): void {
    const now = performance.now();
    let real = Math.min(now - this.last, CATCH_UP_MS);
    this.last = now;
    if (this.o.isHeld?.()) {
      this.risen = now;
      this.wasHeld = true;
    }
    while (real > 0) {
      const pace = this.pace();
      const step = Math.min(real * pace, STEP_MS);
      this.target += step;
      // The controllers' clocks count whole milliseconds.
      this.o.fleet.run(Math.floor(this.target));
      real -= step / pace;
    }
    this.links.turn();
    // Whoever watches may have touched a circuit.
    for (const node of this.o.fleet.nodes) this.o.fleet.schedule(node);
    this.o.onRound?.();
  }
}
