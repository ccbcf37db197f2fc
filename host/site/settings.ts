import { Fitted, TestKind } from '../../firmware/contract/codes';
import { lampsText, modeOf } from '../../firmware/contract/lamps';
import { Limit, limitedSec, WIRE_VERSION } from '../../firmware/contract/limits';
import type { SettingsMessage } from '../../firmware/contract/messages';
import { commissioningSec } from '../profiles/lengths';
import type { RuleProfile } from '../profiles/profile';
import type { Circuit, Site } from './model';
import { slotNeedSec } from './windows';

/**
 * The part of a circuit's plan that its controller must know even after the plan has run out: own nights are
 * (night - residue) mod cycle = 0.
 */
export interface NightShare {
  cycle: number;
  residue: number;
  /** Second of the UTC day at which a night number changes (local noon in standard time). */
  noon: number;
  /**
   * Shared nights are (night - sharedResidue) mod sharedCycle = 0. In one that is no own night, only function
   * tests may be made, and only if discharge and recharge lie inside own hours (second of the UTC day, and length,
   * s; they end with the night at the latest). Missing or 0: there are none.
   */
  sharedCycle?: number;
  sharedResidue?: number;
  hoursFrom?: number;
  hoursSec?: number;
  /** Nightly window for the fallback schedule, second of the UTC day and length. */
  fallbackFrom: number;
  fallbackSec: number;
}

/**
 * Length of a circuit's brief test, s: the profile's value, capped at its share of the shortest rated
 * duration.
 */
export function briefSecOf(circuit: Circuit, profile: RuleProfile): number {
  const shortest = Math.min(...circuit.luminaires.map((luminaire) => luminaire.ratedSec));
  const cap = Math.floor(shortest / profile.brief.partOfRated.value);
  return Math.max(Limit.BriefSecMin, Math.min(profile.brief.lengthSec.value, cap));
}

/**
 * Length of a circuit's commissioning test, s: what the profile asks, never below the rated duration; 0 if
 * none.
 */
function commissionSecOf(circuit: Circuit, profile: RuleProfile): number {
  const asked = commissioningSec(profile) ?? 0;
  const most = Limit.OpenCapSec - Limit.OpenGraceSec;
  return asked === 0 ? 0 : Math.min(Math.max(asked, circuit.ratedSec), most);
}

/** Length of a circuit's test of the given kind, s. */
export function testSecOf(circuit: Circuit, kind: TestKind, profile: RuleProfile): number {
  if (kind === TestKind.Full) return circuit.ratedSec;
  if (kind === TestKind.Limited) return limitedSec(circuit.ratedSec);
  if (kind === TestKind.Commissioning) return commissionSecOf(circuit, profile);
  return briefSecOf(circuit, profile);
}

/**
 * Days after which a circuit without a plan tests again. It may do so only on one night in every `cycle`, so the
 * interval ends one day before the last such night in time: that night is used whether days are counted by hours
 * or by nights.
 */
function fallbackDays(cycle: number, days: number): number {
  return Math.max(1, Math.floor(days / cycle) * cycle - 1);
}

/** Most days that a controller accepts. */
const DAYS_MAX = 1200;

/**
 * The same for its long test. A window that would not hold it when the clocks are changed holds it for nobody
 * without a plan: then function tests go on, and the long one waits for a plan.
 */
function fallbackLongDays(
  circuit: Circuit,
  { cycle, fallbackSec }: NightShare,
  profile: RuleProfile,
): number {
  const fits = slotNeedSec(testSecOf(circuit, longKindOf(circuit), profile)) <= fallbackSec;
  return fits ? fallbackDays(cycle, profile.full.latestDays.value) : DAYS_MAX;
}

/** The numbers of shared nights, none where a circuit has no such nights. */
function hoursOf({ sharedCycle, sharedResidue, hoursFrom, hoursSec }: NightShare): Partial<SettingsMessage> {
  return sharedCycle ? { sharedCycle, sharedResidue, hoursFrom, hoursSec } : {};
}

/** The long test of a circuit: limited if people are always there, otherwise full. */
export function longKindOf(circuit: Circuit): TestKind.Full | TestKind.Limited {
  return circuit.alwaysOccupied ? TestKind.Limited : TestKind.Full;
}

/**
 * Everything the controller of a circuit needs to know about it.
 * @param revision rising number of this version of the settings, 1 or more
 */
export function circuitSettings(
  _site: Site,
  circuit: Circuit,
  share: NightShare,
  profile: RuleProfile,
  revision: number,
): SettingsMessage {
  const lamps = circuit.luminaires.map((lamp) => ({ ...lamp, mode: modeOf(lamp.mode) }));
  return {
    v: WIRE_VERSION,
    revision,
    briefSec: briefSecOf(circuit, profile),
    rechargeSec: profile.full.rechargeSec.value,
    briefRechargeSec: profile.brief.rechargeSec.value,
    firstChargeSec: profile.commissioning?.chargeSec.value ?? 0,
    commissionSec: commissionSecOf(circuit, profile),
    limited: circuit.alwaysOccupied ? 1 : 0,
    earlyPercent: profile.earlyPercent.value,
    floorPercent: profile.floorPercent.value,
    shared: circuit.shared ? 1 : 0,
    emptySec: circuit.emptySec,
    fitted:
      (circuit.auxiliaryContact ? Fitted.Aux : 0) |
      (circuit.shared ? Fitted.Occupancy : 0) |
      (circuit.chargeMilliamps > 0 ? Fitted.Charge : 0) |
      Fitted.Stop |
      Fitted.Key,
    cycle: share.cycle,
    residue: share.residue,
    noon: share.noon,
    ...hoursOf(share),
    fallbackFrom: share.fallbackFrom,
    fallbackSec: share.fallbackSec,
    briefDays: fallbackDays(
      Math.min(share.cycle, share.sharedCycle || share.cycle),
      profile.brief.everyDays.value,
    ),
    fullDays: fallbackLongDays(circuit, share, profile),
    chargeMilliamps: circuit.chargeMilliamps,
    lamps: lampsText(lamps),
  };
}
