// A fleet on a real broker whose time stands still until the host has answered every report made at that instant. A
// controller takes the time only from an answer within two seconds of its own: at several hundred times real pace no
// host, and no network, could answer in time.
import { setTimeout as sleep } from 'node:timers/promises';
import { isAtRest } from '../../../firmware/core/state';
import type { Fleet } from '../../../simulator/fleet';
import { type LinkTimes, LiveLinks } from '../../../simulator/links';
import type { SimulatedController } from '../../../simulator/node';
import type { BrokerPlace } from '../../../simulator/tcp';

/** Real ms from one step to the next at least, and the most that one makes up for. */
const ROUND_MS = 20;
const CATCH_UP_MS = 200;
/** Real ms after which a report counts as lost, and time goes on. */
const PATIENCE_MS = 10_000;
/** Longest step while all controllers are at rest, simulated ms: the next test begins within one. */
const QUIET_STEP_MS = 300_000;

export interface SteppedOptions {
  fleet: Fleet;
  broker: BrokerPlace;
  times: LinkTimes;
  /** Simulated seconds per second at most while a test is under way. */
  pace: number;
  /** Tells the host the time, UTC ms; resolves once it works by that. */
  tell(utcMs: number): Promise<void>;
}

export class SteppedFleet {
  /** Reports made, and those of them that were not answered. */
  reports = 0;
  unanswered = 0;
  private last = performance.now();
  private readonly links: LiveLinks;
  /** When each controller's next report was due when last looked at, on its link's clock. */
  private readonly dueAt = new Map<SimulatedController, number>();
  /** Who waits for an answer, and since when, real ms. */
  private readonly asking = new Map<SimulatedController, number>();

  constructor(private readonly o: SteppedOptions) {
    const { fleet, broker, times } = o;
    this.links = new LiveLinks({ fleet, broker, times, onTurn: (node) => this.look(node) });
    for (const node of fleet.nodes) this.dueAt.set(node, 0);
  }

  /** Runs to `until`, simulated ms, or until `isOver` says so. */
  async run(until: number, isOver: () => boolean = () => false): Promise<void> {
    const { fleet, tell } = this.o;
    while (fleet.now < until && !isOver()) {
      const began = performance.now();
      const to = Math.min(until, fleet.now + this.stepMs(began));
      await tell(fleet.spec.startUtcMs + to);
      fleet.run(to);
      await this.answers();
      await sleep(Math.max(1, ROUND_MS - (performance.now() - began)));
    }
  }

  stop(): void {
    this.links.close();
  }

  /** Simulated ms of the step that begins now. */
  private stepMs(began: number): number {
    const real = Math.min(began - this.last, CATCH_UP_MS);
    this.last = began;
    const isQuiet = this.o.fleet.nodes.every(({ controller: c }) => c !== null && isAtRest(c.core));
    return isQuiet ? QUIET_STEP_MS : Math.ceil(real * this.o.pace);
  }

  /** Notes a report, or that it needs no answer any more: the controller's clock was set or doubted now, or it is offline. */
  private look(node: SimulatedController): void {
    const c = node.controller;
    if (!c) return;
    const { heartbeatAt } = c.link;
    if (heartbeatAt !== this.dueAt.get(node)) {
      this.dueAt.set(node, heartbeatAt);
      this.reports++;
      this.asking.set(node, performance.now());
    }
    if (Math.max(c.core.syncAt, c.core.doubtAt) === node.boardNow() || !c.link.online)
      this.asking.delete(node);
  }

  private async answers(): Promise<void> {
    this.links.turn();
    while (this.asking.size > 0) {
      await sleep(1);
      this.links.turn();
      for (const [node, since] of this.asking)
        if (performance.now() - since > PATIENCE_MS) {
          this.asking.delete(node);
          this.unanswered++;
        }
    }
  }
}
