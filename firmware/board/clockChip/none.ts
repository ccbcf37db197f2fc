// Boards without a clock chip.

export interface ChipWiring {
  driver: 'none';
}

export function setUpClockChip(_wiring: ChipWiring | undefined): void {}

export function chipTime(): number {
  return -1;
}

export function setChipTime(_utcSec: number): number {
  return 0;
}
