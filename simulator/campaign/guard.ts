// Holds a run against what the watch of a fleet cannot know: what the controllers' journals have written, the
// plan that lies in each flash, what the host told of the time, and people in an area that must be empty.
import { intField } from '../../firmware/contract/fields';
import { PLAN_FILE } from '../../firmware/link/inbox';
import type { Outside } from '../checkers/watch';
import type { Observer } from '../fleet';
import type { SimulatedController } from '../node';
import { isOccupied } from '../plant/circuit';
import type { CampaignHost, Served } from './host';

/** Slack for the loop's period where an input must have been seen, ms. */
const SEEN_MS = 1000;
/** A test must have ended so long after somebody came into a shared area, ms. */
const LEAVE_MS = 3000;
const NEVER = Number.NEGATIVE_INFINITY;

interface Guarded {
  served: Served;
  /** Newest record written to each journal that this controller has had. */
  written: Map<string, number>;
  journal: string;
  last: number;
  boot: number;
  plan: number;
  isOccupied: boolean;
  cameAt: number;
  leftAt: number;
}

export class Guard implements Observer, Outside {
  private readonly guarded = new Map<SimulatedController, Guarded>();

  constructor(
    private readonly host: CampaignHost,
    private readonly breach: (circuit: string, sentence: string) => void,
  ) {}

  private get(node: SimulatedController): Guarded {
    let g = this.guarded.get(node);
    if (!g) {
      g = {
        served: this.host.of(node),
        written: new Map(),
        journal: '',
        last: 0,
        boot: 0,
        plan: 0,
        isOccupied: false,
        cameAt: NEVER,
        leftAt: NEVER,
      };
      this.guarded.set(node, g);
    }
    return g;
  }

  after(node: SimulatedController, now: number): void {
    const g = this.get(node);
    if (g.served.circuit.settings.shared) this.followPeople(node, g, now);
    const c = node.controller;
    if (!c) return;
    if (c.journal.last !== g.last || c.journal.id !== g.journal) {
      g.last = c.journal.last;
      g.journal = c.journal.id;
      g.written.set(g.journal, Math.max(g.last, g.written.get(g.journal) ?? 0));
    }
    if (c.core.boot !== g.boot || c.core.planRevision !== g.plan) {
      g.boot = c.core.boot;
      g.plan = c.core.planRevision;
      node.spec.rules.planUntil = this.planUntil(node, g);
    }
  }

  /** Until when a plan binds this controller: the one in force, or the older one that a reset would bring back. */
  private planUntil(node: SimulatedController, g: Guarded): number {
    const inFlash = intField(node.flash.load(PLAN_FILE), 'until', 0);
    const inForce = g.served.circuit.plans.find(({ message }) => message.revision === g.plan);
    return Math.min(inFlash, inForce?.message.until ?? 0);
  }

  private followPeople(node: SimulatedController, g: Guarded, now: number): void {
    const is = isOccupied(node.plant, now);
    if (is && !g.isOccupied) g.cameAt = now;
    if (!is && g.isOccupied) g.leftAt = now;
    g.isOccupied = is;
    if (is && node.plant.relay.driven && now - g.cameAt > LEAVE_MS && node.controller)
      this.breach(node.spec.circuit, 'I2 a test goes on with people in a shared area');
  }

  clockOffsets(node: SimulatedController, now: number): number[] | undefined {
    return this.get(node).served.time.offsets(node.boardPlant, now);
  }

  against(node: SimulatedController, now: number): string {
    const g = this.get(node);
    const { shared, emptySec } = g.served.circuit.settings;
    if (!shared) return '';
    const isThere = g.isOccupied && now - g.cameAt > SEEN_MS;
    return isThere || (!g.isOccupied && now - g.leftAt < emptySec * 1000 - SEEN_MS)
      ? 'I2 opened with a shared area not proven empty'
      : '';
  }

  recordsWritten(): number {
    let sum = 0;
    for (const g of this.guarded.values()) for (const last of g.written.values()) sum += last;
    return sum;
  }

  /** Records that were written and never came. */
  missing(node: SimulatedController): number {
    const { written, served } = this.get(node);
    let sum = 0;
    for (const [journal, last] of written) sum += Math.max(0, last - served.ledger.through(journal));
    return sum;
  }
}
