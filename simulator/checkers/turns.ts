// Checks from outside that a network stops the loop only at rest: never while the relay is held or within
// minutes of a test, and never for as long as the watchdog waits.
import { Phase } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import type { SimulatedController } from '../node';

export class Turns {
  /** Longest time without a turn, ms, and how often the loop stood still. */
  longestMs = Limit.LoopMs as number;
  stops = 0;
  readonly violations: string[] = [];
  private readonly lastOf = new Map<SimulatedController, number>();

  /** Starts after the first boot, which is not counted. */
  resets(node: SimulatedController): number {
    return node.boots - 1;
  }

  after(node: SimulatedController, now: number): void {
    const { from, to } = node.stop;
    const phase = node.controller?.core.phase;
    if (from >= 0 && this.lastOf.get(node) !== from) {
      this.lastOf.set(node, from);
      this.stops++;
      this.longestMs = Math.max(this.longestMs, to - from + Limit.LoopMs);
      if (phase === Phase.Restoring)
        this.violations.push(`at ${from}: stopped while the restore is unproven`);
    }
    const begins = phase === Phase.Opening || node.plant.relay.driven;
    if (begins && from >= 0 && now < to + Limit.QuietMs - Limit.ConnectSec * 1000)
      this.violations.push(`at ${now}: a test begins ${now - to} ms after the loop stood still`);
  }
}
