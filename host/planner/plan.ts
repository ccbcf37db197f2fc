// What a plan is. The planner makes it, the host signs it per controller, the page and reports show it.
import type { TestKind } from '../../firmware/contract/codes';
import type { PlanSlot } from '../../firmware/contract/plan';

export type { PlanSlot as Slot };

/** A circuit's share of the calendar (I7): own nights are (night - residue) mod cycle = 0. */
export interface CircuitPlan {
  circuit: string;
  slots: PlanSlot[];
  cycle: number;
  residue: number;
  /** Second of the UTC day at which a night number changes (local noon in standard time). */
  noon: number;
  /** Nightly window for the fallback schedule, second of the UTC day and length. */
  fallbackFrom: number;
  fallbackSec: number;
}

export interface Plan {
  from: number;
  until: number;
  circuits: CircuitPlan[];
}

/** A test that could not be placed by its latest date with these windows, caps and this wiring. */
export interface Shortfall {
  circuit: string;
  kind: TestKind;
  /** Number of the night by which it was due. */
  dueNight: number;
}

/** A plan as the planner hands it over, with what it could not do. */
export interface MadePlan extends Plan {
  shortfalls: Shortfall[];
}
