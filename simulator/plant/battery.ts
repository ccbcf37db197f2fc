// A battery in closed form. Nothing is stepped, so a quiet month costs nothing: the outcome of a discharge is
// calculated once, where it begins.
import {
  acceptedShare,
  CHEMISTRY,
  type Chemistry,
  calendarShare,
  capacityFor,
  cycleShare,
  keptCharge,
  runtimeHours,
  shareAfterFlat,
  shareAt,
} from './chemistry';

const HOUR_MS = 3600000;
/**
 * A battery that has cut off still holds some charge; its driver and self-discharge use it up in this time
 * (common practice).
 */
const FLAT_AFTER_MS = 14 * 24 * HOUR_MS;
/** Charge from which a charger tapers, and the share of its current at which it floats (common practice). */
const TAPER_FROM = 0.8;
const FLOAT_SHARE = 0.05;

export interface Battery {
  chemistry: Chemistry;
  /** Capacity when new, at the rated hours and 20 degrees C, Ah. */
  ratedAh: number;
  /** Battery-side load with the lamp lit, A. */
  loadA: number;
  /** Time in which the charger delivers the rated capacity, h. */
  chargerHours: number;
  /** Temperature of the cells, degrees C. */
  celsius: number;
  /** Instant at which it was fitted as new, ms; full discharges since. */
  fittedAt: number;
  cycles: number;
  /** Share of the capacity left after lying flat. */
  unhurt: number;
  /** How long it lasts from full regardless of age, ms; 0: according to its age. */
  lastsMs: number;
  mode: 'charging' | 'resting' | 'loaded';
  /** Charge as a share of full, 0 to 1, at `at`. */
  charge: number;
  at: number;
  /** Since when it has been off its charger. */
  restsFrom: number;
  /** In mode `loaded`: how long it lasts from full, and when it cuts off, ms. */
  fullMs: number;
  endAt: number;
}

/** A full battery, new at 0, that lasts `hours` at `loadA` while new and at 20 degrees C or above. */
export function newBattery(chemistry: Chemistry, hours: number, loadA: number, celsius = 25): Battery {
  return {
    chemistry,
    ratedAh: capacityFor(chemistry, hours, loadA),
    loadA,
    chargerHours: CHEMISTRY[chemistry].chargerHours,
    celsius,
    fittedAt: 0,
    cycles: 0,
    unhurt: 1,
    lastsMs: 0,
    mode: 'charging',
    charge: 1,
    at: 0,
    restsFrom: 0,
    fullMs: 0,
    endAt: Number.POSITIVE_INFINITY,
  };
}

/**
 * Capacity at the rated hours at `now`: faded by calendar and cycles, damaged by lying flat, reduced by cold,
 * Ah.
 */
export function presentAh(b: Battery, now: number): number {
  const { chemistry, celsius } = b;
  const aged = calendarShare(chemistry, now - b.fittedAt, celsius) * cycleShare(chemistry, b.cycles, celsius);
  return b.ratedAh * shareAt(chemistry, celsius) * aged * b.unhurt;
}

/** Milliseconds the lamp would stay lit from full, for a discharge that begins at `now`. */
export function fullMsAt(b: Battery, now: number): number {
  if (b.lastsMs > 0) return b.lastsMs;
  const { ratedHours, peukertExponent } = CHEMISTRY[b.chemistry];
  return runtimeHours(presentAh(b, now), ratedHours, b.loadA, peukertExponent) * HOUR_MS;
}

/** Charge at `now`; changes nothing. */
export function chargeAt(b: Battery, now: number): number {
  const ms = now - b.at;
  if (b.mode === 'charging') {
    const accepted = acceptedShare(b.chemistry, b.celsius);
    return Math.min(1, b.charge + (ms / HOUR_MS) * (accepted / b.chargerHours));
  }
  if (b.mode === 'loaded') return Math.max(0, b.charge - ms / b.fullMs);
  const before = keptCharge(b.chemistry, b.at - b.restsFrom, b.celsius);
  return (b.charge * keptCharge(b.chemistry, now - b.restsFrom, b.celsius)) / before;
}

/**
 * Current of a charger that tapers to its float current, mA at the battery. The charge itself assumes a
 * constant charger (above): the taper shows only in the current.
 */
export function chargeMilliamps(b: Battery, now: number): number {
  if (b.mode !== 'charging') return 0;
  const left = (1 - chargeAt(b, now)) / (1 - TAPER_FROM);
  const share = left >= 1 ? 1 : FLOAT_SHARE + (1 - FLOAT_SHARE) * left;
  return (b.ratedAh * 1000 * share) / b.chargerHours;
}

/**
 * Settles the charge at the end of a spell: load counts towards a cycle, and lying flat afterwards does
 * damage.
 */
function endSpell(b: Battery, now: number): void {
  const charge = chargeAt(b, now);
  if (b.mode === 'loaded') {
    b.cycles += b.charge - charge;
    const flatMs = now - Math.max(b.at, b.endAt + FLAT_AFTER_MS);
    if (flatMs > 0) b.unhurt *= shareAfterFlat(b.chemistry, flatMs);
  }
  b.charge = charge;
  b.at = now;
}

function reckonDischarge(b: Battery, now: number): void {
  b.fullMs = fullMsAt(b, now);
  b.endAt = now + b.charge * b.fullMs;
}

/** Continues in another mode. A battery that has cut off stays off until it has been charged. */
export function setBatteryMode(b: Battery, mode: Battery['mode'], now: number): void {
  if (mode === b.mode) return;
  endSpell(b, now);
  if (b.mode === 'charging') b.restsFrom = now;
  b.mode = mode;
  if (mode === 'loaded') reckonDischarge(b, now);
}

/**
 * Replaces the battery, keeping its share of charge: with one that lasts `lastsMs` from full regardless of
 * age, or for 0 a new one of the same kind.
 */
export function fitBattery(b: Battery, lastsMs: number, now: number): void {
  endSpell(b, now);
  b.fittedAt = now;
  b.cycles = 0;
  b.unhurt = 1;
  b.lastsMs = lastsMs;
  if (b.mode === 'loaded') reckonDischarge(b, now);
}

/** Instant at which a loaded battery cuts off; only in mode `loaded`. */
export function emptyAt(b: Battery): number {
  return b.endAt;
}
