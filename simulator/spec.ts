// What the simulator is told of an estate. The command line makes it from a site and its plan.
import type { SettingsMessage } from '../firmware/contract/messages';
import type { FaultSpec } from './faults';
import type { LuminaireSpec } from './plant/luminaire';
import type { Span } from './plant/spans';

/** The rules an opening is held against by the checker: told by the planner, not read from the core. */
export interface RuleSpec {
  slots: { start: number; end: number }[];
  cycle: number;
  residue: number;
  noon: number;
  fallbackFrom: number;
  fallbackSec: number;
  /** UTC second from which the fallback schedule may speak. */
  planUntil: number;
  briefSec: number;
  ratedSec: number;
  rechargeSec: number;
  briefRechargeSec: number;
  /** Charge before a commissioning test and its length, s, where one is wanted. */
  firstChargeSec?: number;
  commissionSec?: number;
  /** Longest walk-round by which somebody may lengthen a brief test, s; none unless told. */
  extensionSec?: number;
}

/** Those of the rules that are the same numbers in the settings of a circuit. */
export function rulesIn(settings: SettingsMessage) {
  const { cycle, residue, noon, fallbackFrom, fallbackSec } = settings;
  const { briefSec, rechargeSec, briefRechargeSec } = settings;
  return { cycle, residue, noon, fallbackFrom, fallbackSec, briefSec, rechargeSec, briefRechargeSec };
}

export interface ControllerSpec {
  /** `site/controller`. */
  address: string;
  circuit: string;
  secret: string;
  lamps: LuminaireSpec[];
  faults: FaultSpec[];
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
  /** Hours in which nothing can happen are skipped, and links speak only where they must (rest.ts). */
  isSparing?: boolean;
  /** In runs of controllers by themselves: what happens is taken down, and repaired so long after it is reported, ms. */
  chronicle?: { repairMs?: number };
}
