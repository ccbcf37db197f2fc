// What a network driver provides. Each file in this folder is one driver; the build puts the one a board names
// behind `chosen.ts`, so a program holds a single driver.
import type { NetPort } from '../../ports';

/** What the driver reports, and asks. */
export interface NetEvents {
  opened(): void;
  data(bytes: string): void;
  closed(): void;
  /** Whether the loop may stand still for a while. */
  isQuiet(): boolean;
}

export interface NetDriver<NetWiring> {
  /**
   * Takes note of the wiring; touches no hardware, because a network that fails must not keep the loop from
   * starting.
   * @param address of the controller, `site/controller`
   * @param jitter 0 to 1, fixed per controller: spreads the attempts of many over time
   */
  setUpNet(wiring: NetWiring, address: string, jitter: number, on: NetEvents): void;
  /** One turn, after the controller's own. May throw: the next turn goes on. */
  netTurn(now: number): void;
  boardNet: NetPort;
}
