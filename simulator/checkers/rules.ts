// What the rules of a circuit permit, taken from the planner and not from the core.
import { TestKind } from '../../firmware/contract/codes';
import { Limit, limitedSec } from '../../firmware/contract/limits';
import type { SimulatedController } from '../node';
import type { RuleSpec } from '../spec';

/** Allowance for the loop's period and the sense's debounce, ms. */
export const SLACK_MS = 2 * Limit.LoopMs + Limit.DebounceMs;

/** Longest discharge the rules permit in a test of this kind, s. */
export function limitOf(rules: RuleSpec, kind: TestKind): number {
  if (kind === TestKind.Full) return rules.ratedSec;
  if (kind === TestKind.Limited) return limitedSec(rules.ratedSec);
  if (kind === TestKind.Commissioning) return rules.commissionSec ?? 0;
  return rules.briefSec + (rules.extensionSec ?? 0);
}

/** Discharge that a luminaire rated for `ratedSec` must last to pass a test of this kind, s. */
export function ownSec(rules: RuleSpec, kind: TestKind, ratedSec: number): number {
  if (kind === TestKind.Full) return ratedSec;
  if (kind === TestKind.Limited) return limitedSec(ratedSec);
  if (kind === TestKind.Brief) return rules.briefSec;
  return Math.ceil(((rules.commissionSec ?? 0) * ratedSec) / rules.ratedSec);
}

/** Unbroken supply that a test of this kind needs beforehand, s, whatever else is owed. */
export function chargeOf(rules: RuleSpec, kind: TestKind): number {
  if (kind === TestKind.Commissioning) return rules.firstChargeSec ?? rules.rechargeSec;
  return kind === TestKind.Brief ? 0 : rules.rechargeSec;
}

/** Whether a UTC second lies in a night that is the circuit's own (I7). */
export function isOwnNight(share: Pick<RuleSpec, 'cycle' | 'residue' | 'noon'>, utc: number): boolean {
  const night = Math.floor((utc - share.noon) / 86400);
  return (night - share.residue) % share.cycle === 0;
}

export function inPermittedWindow(rules: RuleSpec, utc: number): boolean {
  const inSlot = rules.slots.some((slot) => utc >= slot.start && utc < slot.end);
  const since = (((utc - rules.fallbackFrom) % 86400) + 86400) % 86400;
  return isOwnNight(rules, utc) && (inSlot || (utc >= rules.planUntil && since < rules.fallbackSec));
}

/** Largest share by which the controller's crystal may distort its durations. */
export function driftOf(node: SimulatedController): number {
  let most = 0;
  for (const { ppm } of node.boardPlant.crystalFaults) most = Math.max(most, Math.abs(ppm));
  return most / 1e6;
}
