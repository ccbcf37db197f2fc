// What a driver of a battery-backed clock chip provides. Each file in this folder is one driver; the build puts
// the one a board names behind `chosen.ts`. All calls are made at rest, with the relay closed.

export interface ClockChipPort<ChipWiring> {
  /** Prepares the bus; undefined: no chip is fitted. */
  setUpClockChip(wiring: ChipWiring | undefined): void;
  /**
   * UTC second: 0 when the chip does not answer, its oscillator has stopped, or what it says is no time; -1 when
   * none is fitted.
   */
  chipTime(): number;
  /** Sets the chip, and declares its time good. @returns 1 when it reads back right, else 0 */
  setChipTime(utcSec: number): number;
}
