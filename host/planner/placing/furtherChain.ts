// Which nights a circuit's further tests take, those on top of what the rule asks for. A test on the way to the
// next is worth what it shortens the time in which a failure goes unseen: the mean wait is half the gap, so gaps
// count by their squares, and each test by the square of the days aimed at. A dynamic programme over the nights.
import { bearableDays, durationDays, urgencyOf } from '../../profiles/more';
import type { Circuit } from '../../site/model';
import { DAY_SEC } from '../nights/nights';
import type { Chain } from './chain';
import type { CircuitWork, Placing } from './circuitWork';

/** Share of the days aimed at that two tests are apart at least (common practice, no source). */
const LEAST_PART = 0.7;
export interface FurtherRules {
  /** Days from one test to the next: those aimed at, and the fewest. */
  aim: number;
  least: number;
  /** What an hour of exposure adds to the price of a test, as a share of it. */
  perHour: number;
  /** Numbers of the night of the last test before the plan, and of the last night of the plan. */
  base: number;
  end: number;
}

export interface FurtherNights {
  /** Night numbers in order. */
  at: Int32Array;
  /** Extra price of a further test there, as a share of its price; Infinity where none may be. */
  cost: Float64Array;
  /** 1 where there is a test already. */
  tested: Uint8Array;
}

/**
 * The nights on which further tests find most for what they cost, between tests that stay; and what that costs, in
 * squares of days.
 */
export function furtherChain(
  { at, cost, tested }: FurtherNights,
  { aim, least, base, end }: FurtherRules,
): Chain {
  const count = at.length;
  const sum = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
  const from = new Int32Array(count).fill(-1);
  const price = (i: number) => (tested[i] ? 0 : aim * aim * (1 + cost[i]));
  const step = (before: number, i: number, isFixed: boolean) => {
    const gap = at[i] - before;
    return gap < least && !isFixed ? Number.POSITIVE_INFINITY : gap * gap;
  };
  let lastTested = -1;
  for (let i = 0; i < count; i++) {
    const own = price(i);
    if (own === Number.POSITIVE_INFINITY) continue;
    let best = lastTested < 0 ? step(base, i, tested[i] === 1) : Number.POSITIVE_INFINITY;
    for (let j = i - 1; j >= Math.max(0, lastTested); j--) {
      const total = sum[j] + step(at[j], i, tested[i] === 1 && tested[j] === 1);
      if (total >= best) continue;
      best = total;
      from[i] = j;
    }
    sum[i] = best + own;
    if (tested[i]) lastTested = i;
  }
  const rest = (night: number) => Math.max(0, end - night) ** 2;
  let last = -1;
  let lowest = lastTested < 0 ? rest(base) : Number.POSITIVE_INFINITY;
  for (let i = Math.max(0, lastTested); i < count; i++) {
    if (sum[i] + rest(at[i]) >= lowest) continue;
    lowest = sum[i] + rest(at[i]);
    last = i;
  }
  const places: number[] = [];
  for (let i = last; i >= 0; i = from[i]) if (!tested[i]) places.unshift(i);
  return { cost: lowest, places };
}

/** Weight of further tests that come just as often as wished, hours; of rarer ones in proportion (our choice, no source). */
const MORE = 0.1;

/** What a circuit's tests of a kind cost, in squares of days, as hours of exposure. */
export function hoursOfChain(cost: number, { aim, end }: FurtherRules, { fromNight }: Placing): number {
  return (MORE * cost) / (2 * aim * (end - fromNight));
}

const YEAR_SEC = 365.25 * DAY_SEC;

/** How many times as often as usual a circuit's batteries fall short at a UTC second (see `urgencyOf`). */
export function urgencyAt({ luminaires }: Circuit, utcSec: number): number {
  return urgencyOf(
    luminaires.map(({ chemistry, batteryFitted, celsius }) => ({
      ...{ chemistry, years: (utcSec - Date.parse(batteryFitted) / 1000) / YEAR_SEC },
      ...(celsius !== undefined && { celsius }),
    })),
  );
}

/** The rules for a circuit's further tests of a kind; undefined where the rule itself asks for as many. */
export function furtherRules(
  { more, profile: { brief, full }, fromNight, untilNight, noon }: Placing,
  { circuit, lastBrief, lastLong }: Pick<CircuitWork, 'circuit' | 'lastBrief' | 'lastLong'>,
  isLong: boolean,
): FurtherRules | undefined {
  if (!more) return undefined;
  const chemistries = circuit.luminaires.map((lamp) => lamp.chemistry);
  // In the middle of the plan.
  const urgency = isLong ? urgencyAt(circuit, noon + ((fromNight + untilNight) / 2) * DAY_SEC) : 1;
  const aim = isLong ? durationDays(more, chemistries, urgency) : more.functionTestDays;
  if (aim >= (isLong ? full : brief).latestDays.value) return undefined;
  const gap = isLong ? Math.max(...chemistries.map(bearableDays)) : (brief.leastGapDays?.value ?? 1);
  // A circuit of which nothing is known is due at once.
  const base = (isLong ? lastLong : lastBrief) ?? fromNight - aim;
  // People count by the interval that would be best without bounds.
  const perHour = isLong ? durationDays(more, chemistries) ** 2 / urgency / aim ** 2 : 1;
  return { aim, least: Math.max(gap, Math.ceil(aim * LEAST_PART)), perHour, base, end: untilNight };
}
