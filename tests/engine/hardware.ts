// What surrounds the interpreter on the real clock: the pulse detector that releases the relay, and the
// watchdog that resets the board. The interpreter on a desktop has neither, so they are modelled here from
// what the rig prints; a board has its own watchdog and the bench its own relay.
import { pause } from '../support/interpreterPort';
import type { Rig } from './rig';

/**
 * Drop-out time of the pulse detector (docs/wiring.md) and timeout of the watchdog (firmware/main.ts), ms.
 */
export const DETECTOR_MS = 1000;
const WATCHDOG_MS = 5000;
/** How long the console and a busy machine may delay what is printed. */
const DELAY_MS = 1000;
const LOOK_MS = 50;

export class Hardware {
  private edges = 0;
  private edgeAt = 0;
  private fedAt = 0;

  constructor(private readonly rig: Rig) {
    rig.listener.live = (event) => {
      if (event === 'K') this.fedAt = Date.now();
      if (event === 'E1') {
        this.edges++;
        this.edgeAt = Date.now();
      }
    };
  }

  /** Lets the interpreter turn the loop itself. The rig's firmware must be in a test, its relay open. */
  async start(): Promise<void> {
    this.edges = 0;
    this.edgeAt = Date.now();
    this.fedAt = Date.now();
    await this.rig.ask('rig.go()');
  }

  /** Rising edges of the relay pin in the next `ms`. */
  async edgesIn(ms: number): Promise<number> {
    const before = this.edges;
    await pause(ms);
    return this.edges - before;
  }

  /** Whether, within `limitMs`, no edge comes for the detector's whole drop-out time. */
  fellBack(limitMs: number): Promise<boolean> {
    return this.within(limitMs, () => Date.now() - this.edgeAt > DETECTOR_MS);
  }

  /** Whether, within `limitMs`, the watchdog goes unfed until it resets the board. */
  bites(limitMs = WATCHDOG_MS + 10 * DELAY_MS): Promise<boolean> {
    return this.within(limitMs, () => Date.now() - this.fedAt > WATCHDOG_MS + DELAY_MS);
  }

  private async within(limitMs: number, holds: () => boolean): Promise<boolean> {
    const until = Date.now() + limitMs;
    while (Date.now() < until) {
      if (holds()) return true;
      await pause(LOOK_MS);
    }
    return holds();
  }
}
