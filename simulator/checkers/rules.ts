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

/** Seconds from the last time that the clock showed this second of the UTC day. */
function secondsSince(daySec: number, utc: number): number {
  return (((utc - daySec) % 86400) + 86400) % 86400;
}

/** The rules on shared nights and own hours in them. */
export type SharedNights = Pick<
  RuleSpec,
  'noon' | 'sharedCycle' | 'sharedResidue' | 'hoursFrom' | 'hoursSec'
>;

/**
 * Whether the batteries, discharged at a UTC second in a shared night and recharged for `owedSec` from then on, are
 * full again before own hours are over (I7).
 */
export function inOwnHours(share: SharedNights, utc: number, owedSec: number): boolean {
  const { sharedCycle = 0, sharedResidue = 0, hoursFrom = 0, hoursSec = 0 } = share;
  const since = secondsSince(hoursFrom, utc);
  if (sharedCycle === 0 || since + owedSec > hoursSec) return false;
  return Math.floor((utc - since - share.noon) / 86400) % sharedCycle === sharedResidue;
}

/** Own hours in the night of a UTC second, where it is shared and not the circuit's own: UTC s, recharge included. */
export function hoursOf(
  share: SharedNights & Pick<RuleSpec, 'cycle' | 'residue'>,
  utc: number,
): { from: number; to: number } | undefined {
  const { noon, hoursFrom = 0, hoursSec = 0 } = share;
  const from = utc - secondsSince(noon, utc) + secondsSince(noon, hoursFrom);
  if (isOwnNight(share, utc) || !inOwnHours(share, from, 0)) return undefined;
  return { from, to: from + hoursSec };
}

/** Whether a discharge of this kind at a UTC second is permitted, if it owes so much recharge. */
export function inPermittedWindow(rules: RuleSpec, utc: number, kind: TestKind, owedSec: number): boolean {
  const inSlot = rules.slots.some((slot) => utc >= slot.start && utc < slot.end);
  const isAlone = utc >= rules.planUntil;
  if (isOwnNight(rules, utc))
    return inSlot || (isAlone && secondsSince(rules.fallbackFrom, utc) < rules.fallbackSec);
  return kind === TestKind.Brief && (inSlot || isAlone) && inOwnHours(rules, utc, owedSec);
}

/** Largest share by which the controller's crystal may distort its durations. */
export function driftOf(node: SimulatedController): number {
  let most = 0;
  for (const { ppm } of node.boardPlant.crystalFaults) most = Math.max(most, Math.abs(ppm));
  return most / 1e6;
}
