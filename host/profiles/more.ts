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

/** A battery in its place. */
export interface BatteryInUse {
  chemistry: Chemistry;
  /** Years since it was fitted. */
  years: number;
  /** Usual temperature, degrees C; 25 where it is not known. */
  celsius?: number;
}

/**
 * Luminaires that fall short of their duration, per luminaire and year: all at once, and in the mean of which the
 * intervals asked for are thought (common practice, no source).
 */
const SHORT = { suddenly: 0.06, usual: 0.08 };
/**
 * Weibull lives of batteries that wear out: the shape, and the scale in the years after which four fifths are left, since
 * most hold more than they need (our choice, no source).
 */
const LIVES = { shape: 4, scale: 1.5 };
/** However old they are, batteries count as failing at most so many times as often as usual (our choice, no source). */
const URGENT_MOST = 4;

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

/**
 * How many times as often as usual the batteries of a circuit fall short, 1 to 4: with the years they wear out, in the
 * warmth sooner, by a factor of two for every 10 degrees (Arrhenius' rule of thumb; common practice, no source).
 */
export function urgencyOf(batteries: readonly BatteryInUse[]): number {
  const yearly = batteries.map(({ chemistry, years, celsius = 25 }) => {
    const life = LIVES.scale * LIFE[chemistry].years * 2 ** ((25 - celsius) / 10);
    return SHORT.suddenly + (LIVES.shape / life) * (Math.max(0, years) / life) ** (LIVES.shape - 1);
  });
  const mean = yearly.reduce((sum, one) => sum + one, 0) / Math.max(1, yearly.length);
  return Math.min(URGENT_MOST, Math.max(1, mean / SHORT.usual));
}

/**
 * Days between a circuit's duration tests: those asked for, fewer where failures are more urgent, since the best interval
 * falls with the root of how often they come; and more where one of its batteries bears fewer tests.
 */
export function durationDays(
  { durationTestDays }: MoreTests,
  chemistries: Iterable<Chemistry>,
  urgency = 1,
): number {
  const sooner = Math.max(LEAST_DAYS.duration, Math.round(durationTestDays / Math.sqrt(urgency)));
  return Math.max(Math.min(durationTestDays, sooner), ...[...chemistries].map(bearableDays));
}
