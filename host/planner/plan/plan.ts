// What a plan is. The planner makes it, the host signs it per controller, the page and reports show it.
import type { TestKind } from '../../../firmware/contract/codes';
import type { PlanSlot } from '../../../firmware/contract/plan';
import type { NightShare } from '../../site/settings';

export type { PlanSlot as Slot };

/** A circuit's tests, and its share of the calendar (I7). */
export interface CircuitPlan extends NightShare {
  circuit: string;
  slots: PlanSlot[];
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
  /** Nights from then until it is made, or until the plan ends. */
  lateNights: number;
}

/**
 * A planned test at its first attempt, UTC seconds. Its retries are further slots, and count only if used.
 */
export interface PlannedTest {
  circuit: string;
  test: number;
  kind: TestKind;
  start: number;
  end: number;
  /** The end and the recharge of its kind. */
  recharged: number;
  /** It comes on top of those that the rule asks for. */
  more?: true;
}

/** What is impossible, or not as it should be, with this wiring and these hours. */
export interface Conflict {
  /** Tests that come too late, what the wiring does not allow in any night, or what asks for nothing while tests are in time. */
  about: 'late' | 'wiring' | 'note';
  /** All of them; a sentence names a few. */
  circuits: string[];
  areas: string[];
  /** E.g. "brief test at the latest after 31 days (EN 50172:2004, 7.2)". */
  rule: string;
  /** UTC seconds between which it matters. */
  from: number;
  until: number;
  /** Which switch, which nights, why: one or two plain sentences. */
  sentence: string;
  /** The smallest change that would solve it, one sentence. */
  remedy: string;
}

/** A finished plan with its exposure and what it could not place. */
export interface MadePlan extends Plan {
  shortfalls: Shortfall[];
  /** In order of time, and the same circuit by circuit. */
  tests: PlannedTest[];
  testsByCircuit: PlannedTest[];
  /**
   * Hours in which people are where luminaires are not ready, times the share of those luminaires (see
   * exposure.ts).
   */
  exposureHours: number;
  /**
   * The same for as many tests at the same intervals and with the same caps, but all circuits together on the last
   * night of each interval, and on one night of the week, the best; both without regard to people and neighbours.
   * null where those nights have no room for all tests.
   */
  naiveExposureHours: number | null;
  bestFixedNightHours: number | null;
  /** A bound that no plan for these nights and intervals can beat. */
  lowerBoundHours: number;
  conflicts: Conflict[];
}
