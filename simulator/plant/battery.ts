// A battery in closed form: runtime by Peukert's law in the rated-hour form t = H (C / (I H))^k, charge
// by a constant charger. Nothing is stepped, so a quiet month costs nothing.

export type Chemistry = 'NiCd' | 'NiMH' | 'LiFePO4';

/** Peukert exponent and charge efficiency; mid values of the ranges quoted for small cells. */
const CHEMISTRY: Record<Chemistry, { exponent: number; efficiency: number; selfDischargePerDay: number }> = {
  NiCd: { exponent: 1.1, efficiency: 0.8, selfDischargePerDay: 0.0035 },
  NiMH: { exponent: 1.08, efficiency: 0.75, selfDischargePerDay: 0.0045 },
  LiFePO4: { exponent: 1.05, efficiency: 0.99, selfDischargePerDay: 0.0008 },
};

/** The charger delivers C/20: in 24 h, rated duration is back (IEC 60598-2-22 clause 22.19, from memory). */
const CHARGE_HOURS = 20;

/**
 * Hours a full battery lasts at a constant current.
 * @param capacityAh capacity at the rated hours, Ah
 * @param ratedHours hours of discharge the capacity is stated for, h
 * @param currentA load, A
 * @param exponent Peukert exponent, 1 or more
 */
export function runtimeHours(
  capacityAh: number,
  ratedHours: number,
  currentA: number,
  exponent: number,
): number {
  return ratedHours * (capacityAh / (currentA * ratedHours)) ** exponent;
}

export interface Battery {
  chemistry: Chemistry;
  /** Capacity at 5 h (0.2C), Ah. */
  capacityAh: number;
  /** Battery-side load with the lamp lit, A. */
  loadA: number;
  /** Charge as a share of full, 0 to 1, at `at`. */
  charge: number;
  at: number;
  mode: 'charging' | 'resting' | 'loaded';
}

/** A full battery that lasts `hours` at `loadA`. */
export function newBattery(chemistry: Chemistry, hours: number, loadA: number): Battery {
  return {
    chemistry,
    capacityAh: capacityFor(chemistry, hours, loadA),
    loadA,
    charge: 1,
    at: 0,
    mode: 'charging',
  };
}

/** The 5 h capacity, Ah, that lasts `hours` at `loadA`: Peukert's law solved for C. */
export function capacityFor(chemistry: Chemistry, hours: number, loadA: number): number {
  return loadA * 5 * (hours / 5) ** (1 / CHEMISTRY[chemistry].exponent);
}

/** Milliseconds the lamp stays lit from full. */
function fullMs(b: Battery): number {
  return runtimeHours(b.capacityAh, 5, b.loadA, CHEMISTRY[b.chemistry].exponent) * 3600000;
}

/** Charge at `now`, without changing anything. */
export function chargeAt(b: Battery, now: number): number {
  const ms = now - b.at;
  const kind = CHEMISTRY[b.chemistry];
  if (b.mode === 'charging') return Math.min(1, b.charge + (ms / 3600000) * (kind.efficiency / CHARGE_HOURS));
  const share = b.mode === 'loaded' ? ms / fullMs(b) : (ms / 86400000) * kind.selfDischargePerDay;
  return Math.max(0, b.charge - share);
}

/** Charge from which a charger tapers, and the share of its current that it floats at (common practice). */
const TAPER_FROM = 0.8;
const FLOAT_SHARE = 0.05;

/**
 * Current of a C/20 charger that tapers to its float current, mA at the battery. The charge itself is
 * reckoned with a constant charger (above): the taper shows in the current only.
 */
export function chargeMilliamps(b: Battery, now: number): number {
  if (b.mode !== 'charging') return 0;
  const left = (1 - chargeAt(b, now)) / (1 - TAPER_FROM);
  const share = left >= 1 ? 1 : FLOAT_SHARE + (1 - FLOAT_SHARE) * left;
  return (b.capacityAh * 1000 * share) / CHARGE_HOURS;
}

/** Settles the charge at `now` and goes on in another mode. */
export function setBatteryMode(b: Battery, mode: Battery['mode'], now: number): void {
  b.charge = chargeAt(b, now);
  b.at = now;
  b.mode = mode;
}

/** Instant at which a loaded battery is cut off; only in mode `loaded`. */
export function emptyAt(b: Battery): number {
  return b.at + b.charge * fullMs(b);
}
