// What surrounds the interpreter on the real clock: the pulse detector that releases the relay when edges stay
// away, and the watchdog that resets the board. The interpreter on a desktop has neither, so they are modelled
// here from what the rig prints; a board has its own watchdog and the bench its own relay. A busy machine
// makes everything come later, so only edges are counted and only silence is waited for.
import { pause } from '../support/interpreterPort';
import type { Rig } from './rig';

/** Timeout of the watchdog (firmware/main.ts), and what a busy machine may add to a turn, ms. */
const WATCHDOG_MS = 5000;
const DELAY_MS = 2000;
const LOOK_MS = 50;
/** Nothing may take longer than this, ms: then the test fails. */
const LIMIT_MS = 180_000;

export class Hardware {
  private rises = 0;
  /** Looks since the watchdog was fed: a machine too busy to look does not make the silence longer. */
  private looks = 0;
  private readonly events = new Set<string>();

  constructor(private readonly rig: Rig) {
    rig.listener.live = (event) => {
      this.events.add(event);
      if (event === 'K') this.looks = 0;
      if (event === 'E1') this.rises++;
    };
  }

  /** Lets the interpreter turn the loop itself. The rig's firmware must be in a test, its relay open. */
  async start(): Promise<void> {
    this.rises = 0;
    this.looks = 0;
    this.events.clear();
    await this.rig.ask('rig.go()');
  }

  /**
   * Waits for so many more rising edges of the relay pin, or for the watchdog to go unfed for too long.
   * @returns whether the edges came
   */
  async pulses(count: number): Promise<boolean> {
    const wanted = this.rises + count;
    this.looks = 0;
    await this.until(() => this.rises >= wanted || this.isUnfed(), 'edge and no silence');
    return this.rises >= wanted;
  }

  /** Waits for so many more rising edges of the relay pin. */
  async edges(count: number): Promise<void> {
    if (!(await this.pulses(count))) throw new Error(`No ${count} more rising edges.`);
  }

  /** Waits for a line of the interpreter. */
  heard(event: string): Promise<void> {
    return this.until(() => this.events.has(event), event);
  }

  /**
   * Waits until the watchdog has gone unfed for so long that it resets the board.
   * @returns the rising edges until then
   */
  async bites(): Promise<number> {
    const before = this.rises;
    this.looks = 0;
    await this.until(() => this.isUnfed(), 'watchdog that bites');
    return this.rises - before;
  }

  private isUnfed(): boolean {
    return this.looks * LOOK_MS > WATCHDOG_MS + DELAY_MS;
  }

  private async until(holds: () => boolean, what: string): Promise<void> {
    const end = Date.now() + LIMIT_MS;
    while (!holds()) {
      if (Date.now() > end) throw new Error(`No ${what}. ${this.rig.board.complaints.join(' ')}`);
      await pause(LOOK_MS);
      this.looks++;
    }
  }
}
