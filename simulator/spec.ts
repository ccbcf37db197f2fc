// The simulator's description of an estate. Rehearsals make it from a site and its plan.
import type { SettingsMessage } from '../firmware/contract/messages';
import type { FaultSpec } from './faults';
import type { CallOut } from './people/callOut';
import type { BusSpec } from './plant/bus';
import type { LuminaireSpec } from './plant/luminaire';
import type { Span } from './plant/spans';

/** The rules the checker applies to an opening: given by the planner, not read from the core. */
export interface RuleSpec {
  slots: { start: number; end: number }[];
  cycle: number;
  residue: number;
  noon: number;
  /** Shared nights, and own hours in them: second of the UTC day, and length, s. None by default. */
  sharedCycle?: number;
  sharedResidue?: number;
  hoursFrom?: number;
  hoursSec?: number;
  fallbackFrom: number;
  fallbackSec: number;
  /** UTC second from which the fallback schedule may apply. */
  planUntil: number;
  briefSec: number;
  ratedSec: number;
  rechargeSec: number;
  briefRechargeSec: number;
  /** Charge before a commissioning test and its length, s, where one is wanted. */
  firstChargeSec?: number;
  commissionSec?: number;
  /** Longest walk-round for which a brief test may be extended, s; none by default. */
  extensionSec?: number;
}

/** The rules that appear as the same numbers in a circuit's settings. */
export function rulesIn(settings: SettingsMessage) {
  const { cycle, residue, noon, fallbackFrom, fallbackSec } = settings;
  const { sharedCycle, sharedResidue, hoursFrom, hoursSec } = settings;
  const { briefSec, rechargeSec, briefRechargeSec } = settings;
  return {
    ...{ cycle, residue, noon, fallbackFrom, fallbackSec, briefSec, rechargeSec, briefRechargeSec },
    ...{ sharedCycle, sharedResidue, hoursFrom, hoursSec },
  };
}

export interface ControllerSpec {
  /** `site/controller`. */
  address: string;
  circuit: string;
  secret: string;
  lamps: LuminaireSpec[];
  faults: FaultSpec[];
  /** The lamps are read by current modules on a bus. */
  bus?: BusSpec;
  /** A battery-backed clock chip is fitted, with this drift. */
  clockChip?: { ppm: number };
  visits: Span[];
  outages: Span[];
  /** Circuits whose recharge must never meet this one's. */
  neighbours: string[];
  rules: RuleSpec;
}

export interface FleetSpec {
  seed: number;
  /** UTC ms at simulated time 0. */
  startUtcMs: number;
  controllers: ControllerSpec[];
  link: { keepAliveSec: number; heartbeatSec: number; liveMs: number };
  /** Gaussian noise on the sensors. */
  noise: boolean;
  /** Hours in which nothing can happen are skipped, and links send only what they must (rest.ts). */
  isSparing?: boolean;
  /**
   * In runs of single controllers: events are recorded, and what is reported is repaired if someone is called.
   */
  chronicle?: { callOut?: CallOut };
}
