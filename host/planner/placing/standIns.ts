// Whether long tests leave room for function tests of their own, or have to count as one: often plain from the nights
// alone, without their prices.
import { TestKind } from '../../../firmware/contract/codes';
import { WORTH } from './chain';
import { surelyFits } from './chooseSlot';
import { type CircuitWork, lengthsOf, type Placing } from './circuitWork';
import { briefRules } from './placeBriefs';

/** More than the price of a test in a night, apart from exposure, and of the step to it, hours. */
const SMALL = 6;

/**
 * Whether function tests surely find nights of their own in time beside long tests on these, far cheaper than if one
 * of the long ones counted as a function test. If not they may find some all the same.
 */
export function surelyLeavesRoom(placing: Placing, work: CircuitWork, longs: number[]): boolean {
  if (work.tests.length > 0) return false;
  const { least, most, end } = briefRules(placing);
  const lengths = lengthsOf(work.circuit, TestKind.Brief, placing.profile);
  const share = work.burden.parts.reduce((sum, part) => sum + part.share, 0);
  const hours = (share * (lengths.testSec + lengths.rechargeSec)) / 3600;
  if ((hours + SMALL) * work.own.length > WORTH.standsIn) return false;
  // Always the last night in time.
  let last = work.lastBrief ?? placing.fromNight;
  let next = last;
  for (let i = 0; i < work.own.length && end - next > most; i++) {
    const night = work.at[i];
    if (night - last > most) last = next;
    if (night - last > most) return false;
    if (night - last < least || longs.includes(work.own[i])) continue;
    if (surelyFits(placing, work, TestKind.Brief, work.own[i], lengths)) next = night;
  }
  return end - next <= most;
}

/** From here on the days by which tests are late may together outweigh having none. */
const LONG_PLAN_DAYS = 900;

/**
 * Whether a long test on an own night surely counts as a function test: without one there, two others lie too far
 * apart, and a day late outweighs it. By index among own nights.
 */
export function surelyStandsIn(placing: Placing, work: CircuitWork, i: number): boolean {
  const { least, most, end } = briefRules(placing);
  const { at, lastBrief } = work;
  const base = lastBrief ?? placing.fromNight;
  // A test that is overdue, or that was announced, has rules of its own.
  if (work.tests.length > 0 || (lastBrief !== undefined && base + most <= placing.fromNight)) return false;
  if (least > 1 || end - base > LONG_PLAN_DAYS || at[i] <= base) return false;
  return (at[i + 1] ?? end) - (at[i - 1] ?? base) > most;
}
