// More tests than the rule asks for: how often, and what batteries bear. The rule's intervals stay the floor, and
// they alone decide what is late.
//
// Inspecting more often finds a failure sooner, but each inspection wears what it inspects; the best interval
// weighs both (optimal inspection where tests hasten failures, Operations Research 27(2), 1979; from memory).
import type { RuleProfile } from './rule';

/** Days between tests aimed at where a test meets nobody, as the site file gives them. */
export interface MoreTests {
  functionTestDays: number;
  durationTestDays: number;
}

/** Fewest and most days that a profile leaves for an interval. */
export interface DayBounds {
  least: number;
  most: number;
}

/** Shortest intervals: a controller keeps no longer plan (Limit.PlanSlots), and batteries wear. */
export const LEAST_DAYS = { function: 7, duration: 28 };

/** Most of a battery's life that duration tests may use up, as a share (our choice, no source). */
export const WEAR_MOST = 0.05;

type Chemistry = 'NiCd' | 'NiMH' | 'LiFePO4' | 'lead-acid';

/**
 * Full discharges and years on charge at 25 degrees C after which four fifths of the capacity is left: mid-range
 * figures for small cells (common practice, no source). In the warmth both fall, years faster than discharges.
 */
const LIFE: Record<Chemistry, { cycles: number; years: number }> = {
  NiCd: { cycles: 2000, years: 4.4 },
  NiMH: { cycles: 1000, years: 4.4 },
  LiFePO4: { cycles: 3500, years: 7.3 },
  'lead-acid': { cycles: 300, years: 4.4 },
};

const YEAR_DAYS = 365.25;

/** What a profile leaves for each interval: no shorter than it permits, no longer than it asks for. */
export function moreBounds({ brief, full }: RuleProfile): { function: DayBounds; duration: DayBounds } {
  const bounds = (least: number, most: number) => ({ least: Math.min(least, most), most });
  return {
    function: bounds(Math.max(LEAST_DAYS.function, brief.leastGapDays?.value ?? 0), brief.latestDays.value),
    duration: bounds(LEAST_DAYS.duration, full.latestDays.value),
  };
}

/** Share of a battery's life used up by a duration test every so many days, each taken for a full discharge. */
export function wearOf(chemistry: Chemistry, everyDays: number): number {
  const { cycles, years } = LIFE[chemistry];
  const byTests = YEAR_DAYS / everyDays / cycles;
  return byTests / (byTests + 1 / years);
}

/** Fewest whole days between duration tests that use up no more than `WEAR_MOST` of a battery's life. */
export function bearableDays(chemistry: Chemistry): number {
  const { cycles, years } = LIFE[chemistry];
  return Math.ceil((YEAR_DAYS * years * (1 - WEAR_MOST)) / (cycles * WEAR_MOST));
}

/** Days between a circuit's duration tests: those asked for, or more where one of its batteries bears fewer. */
export function durationDays({ durationTestDays }: MoreTests, chemistries: Iterable<Chemistry>): number {
  return Math.max(durationTestDays, ...[...chemistries].map(bearableDays));
}
