// The circuit's commissioned settings, checked against the compiled-in limits.
import { Fitted, TestKind } from '../contract/codes';
import { readRows } from '../contract/fields';
import { LampColumn, type Mode, ON_MAINS } from '../contract/lamps';
import { Limit, limitedSec } from '../contract/limits';
import type { SettingsMessage } from '../contract/messages';

export interface Settings {
  /** 0: not commissioned, nothing may open. */
  revision: number;
  briefSec: number;
  rechargeSec: number;
  briefRechargeSec: number;
  /** Unbroken supply before a commissioning test, s. */
  firstChargeSec: number;
  /** Length of a commissioning test, s; 0: there is none. */
  commissionSec: number;
  /** 1: the fallback schedule runs limited tests in place of full ones. */
  limited: number;
  earlyPercent: number;
  floorPercent: number;
  shared: number;
  emptySec: number;
  fitted: number;
  cycle: number;
  residue: number;
  noon: number;
  /** Shared nights and own hours in them; all 0 without shared nights. */
  sharedCycle: number;
  sharedResidue: number;
  hoursFrom: number;
  hoursSec: number;
  fallbackFrom: number;
  fallbackSec: number;
  briefDays: number;
  fullDays: number;
  lampCount: number;
  /** Flat rows of LampColumn. */
  lamps: Uint16Array;
  /** Longest rated duration on the circuit, s. */
  ratedSec: number;
  /** Charging current of the circuit right after a full test, mA; 0: not commissioned. */
  chargeMilliamps: number;
  /** Longest brief test that a walk-round may be extended to, s. */
  briefCapSec: number;
}

export function newSettings(): Settings {
  return {
    revision: 0,
    briefSec: 0,
    rechargeSec: 86400,
    briefRechargeSec: 3600,
    firstChargeSec: 86400,
    commissionSec: 0,
    limited: 0,
    earlyPercent: 50,
    floorPercent: 70,
    shared: 0,
    emptySec: 0,
    fitted: 0,
    cycle: 1,
    residue: 0,
    noon: 0,
    sharedCycle: 0,
    sharedResidue: 0,
    hoursFrom: 0,
    hoursSec: 0,
    fallbackFrom: 0,
    fallbackSec: 0,
    briefDays: 0,
    fullDays: 0,
    lampCount: 0,
    lamps: new Uint16Array(Limit.Luminaires * LampColumn.Count),
    ratedSec: 0,
    chargeMilliamps: 0,
    briefCapSec: 0,
  };
}

/** Discharge that a luminaire rated for `ratedSec` must survive in a test of this kind, s. */
export function requiredSec(set: Settings, kind: TestKind, ratedSec: number): number {
  if (kind === TestKind.Brief) return set.briefSec;
  if (kind === TestKind.Full) return ratedSec;
  if (kind === TestKind.Limited) return limitedSec(ratedSec);
  return Math.ceil((set.commissionSec * ratedSec) / set.ratedSec);
}

/** Whether `value` is an integer from `low` to `high`. */
export function isBetween(value: number, low: number, high: number): boolean {
  return typeof value === 'number' && value >= low && value <= high && Math.floor(value) === value;
}

function numbersInRange(m: SettingsMessage): boolean {
  return (
    isBetween(m.revision, 1, 4294967295) &&
    isBetween(m.briefSec, Limit.BriefSecMin, Limit.RatedSecMax / Limit.BriefShareOfRated) &&
    isBetween(m.rechargeSec, 3600, 604800) &&
    isBetween(m.briefRechargeSec, 0, m.rechargeSec) &&
    isBetween(m.earlyPercent, 10, 100) &&
    isBetween(m.floorPercent, m.earlyPercent, 100) &&
    isBetween(m.shared, 0, 1) &&
    isBetween(m.limited || 0, 0, 1) &&
    isBetween(m.emptySec, 0, 86400) &&
    isBetween(m.fitted, 0, Fitted.All) &&
    isBetween(m.chargeMilliamps || 0, 0, 60000) &&
    isBetween(m.cycle, 1, Limit.CycleNights) &&
    isBetween(m.residue, 0, m.cycle - 1) &&
    isBetween(m.noon, 0, 86399) &&
    isBetween(m.fallbackFrom, 0, 86399) &&
    isBetween(m.fallbackSec, 0, 86400) &&
    isBetween(m.briefDays, 1, 400) &&
    isBetween(m.fullDays, 1, 1200) &&
    typeof m.lamps === 'string'
  );
}

/** The first charge and the commissioning test, if the message includes them. */
function isCommissioningInRange(m: SettingsMessage, rated: number): boolean {
  const first = m.firstChargeSec || 0;
  const length = m.commissionSec || 0;
  return (
    (first === 0 || isBetween(first, 3600, 604800)) &&
    (length === 0 || isBetween(length, rated, Limit.OpenCapSec - Limit.OpenGraceSec))
  );
}

/** Seconds from the start of a night to a second of the UTC day. */
export function sinceNoon(daySec: number, noon: number): number {
  return (daySec - noon + 86400) % 86400;
}

/** Shared nights and the own hours in them, if the message includes them. The hours must lie inside one night. */
function areHoursInRange(m: SettingsMessage): boolean {
  const cycle = m.sharedCycle || 0;
  const from = m.hoursFrom as number;
  const length = m.hoursSec as number;
  return (
    cycle === 0 ||
    (isBetween(cycle, 1, Limit.CycleNights) &&
      isBetween(m.sharedResidue as number, 0, cycle - 1) &&
      isBetween(from, 0, 86399) &&
      isBetween(length, 1, 86400 - sinceNoon(from, m.noon)))
  );
}

/**
 * Stores the longest and the shortest rated duration of the rows in `rated`; false when a row is out of
 * bounds.
 */
function readRated(lamps: Uint32Array, count: number, rated: number[]): boolean {
  let longest = 0;
  let shortest = Limit.RatedSecMax;
  for (let at = 0; at < count * LampColumn.Count; at += LampColumn.Count) {
    const battery = lamps[at + LampColumn.Battery];
    const sec = lamps[at + LampColumn.Rated];
    if (ON_MAINS[lamps[at + LampColumn.Mode] as Mode] === undefined) return false;
    if (battery < 1 || battery > 5000 || lamps[at + LampColumn.Mains] > 5000) return false;
    if (sec > longest) longest = sec;
    if (sec < shortest) shortest = sec;
  }
  rated[0] = longest;
  rated[1] = shortest;
  return count > 0 && shortest >= Limit.RatedSecMin && longest <= Limit.RatedSecMax;
}

/**
 * Adopts a settings message if every value is in bounds. A shared circuit without an occupancy input is
 * refused: nothing could prove its area empty.
 * @returns false, with nothing changed, when any value is out of bounds.
 */
export function takeSettings(set: Settings, m: SettingsMessage): boolean {
  if (!numbersInRange(m)) return false;
  // Wide enough that no number wraps round into its bounds.
  const rows = new Uint32Array(Limit.Luminaires * LampColumn.Count);
  const count = readRows(m.lamps, LampColumn.Count, Limit.Luminaires, rows);
  const rated = [0, 0];
  if (!readRated(rows, count, rated)) return false;
  const briefCap = Math.floor(rated[1] / Limit.BriefShareOfRated);
  if (m.briefSec > briefCap || !isCommissioningInRange(m, rated[0])) return false;
  if (!areHoursInRange(m)) return false;
  if (m.shared === 1 && (m.fitted & Fitted.Occupancy) === 0) return false;
  set.revision = m.revision;
  set.briefSec = m.briefSec;
  set.rechargeSec = m.rechargeSec;
  set.briefRechargeSec = m.briefRechargeSec;
  set.firstChargeSec = m.firstChargeSec || m.rechargeSec;
  set.commissionSec = m.commissionSec || 0;
  set.limited = m.limited || 0;
  set.earlyPercent = m.earlyPercent;
  set.floorPercent = m.floorPercent;
  set.shared = m.shared;
  set.emptySec = m.emptySec;
  set.fitted = m.fitted;
  set.cycle = m.cycle;
  set.residue = m.residue;
  set.noon = m.noon;
  const hasShared = m.sharedCycle || 0;
  set.sharedCycle = hasShared;
  set.sharedResidue = hasShared && (m.sharedResidue as number);
  set.hoursFrom = hasShared && (m.hoursFrom as number);
  set.hoursSec = hasShared && (m.hoursSec as number);
  set.fallbackFrom = m.fallbackFrom;
  set.fallbackSec = m.fallbackSec;
  set.briefDays = m.briefDays;
  set.fullDays = m.fullDays;
  set.lampCount = count;
  set.lamps.set(rows);
  set.ratedSec = rated[0];
  set.chargeMilliamps = m.chargeMilliamps || 0;
  set.briefCapSec = briefCap;
  return true;
}
