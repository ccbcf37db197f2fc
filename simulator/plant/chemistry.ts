// The laws of a battery in closed form, and the values of four chemistries. docs/plant.md gives the basis of
// each value; all are mid-range figures quoted for small cells, or common practice, not manufacturers' data.

export type Chemistry = 'NiCd' | 'NiMH' | 'LiFePO4' | 'lead-acid';

export interface ChemistryValues {
  /** Hours of discharge for which the capacity is stated, h. */
  ratedHours: number;
  peukertExponent: number;
  /** Share of the charge put in that can be taken out again, at up to 30 degrees C. */
  chargeEfficiency: number;
  /** Share of that lost per degree above 30 degrees C. */
  lossPerHotDegree: number;
  /** Time in which the charger delivers the rated capacity, h. */
  chargerHours: number;
  /**
   * Share of the charge lost on the first day off the charger, and in the following 30 days at 20 degrees C.
   */
  firstDayLoss: number;
  monthlyLoss: number;
  /** Share of the capacity lost per degree below 20 degrees C. */
  lossPerDegree: number;
  /** Share of the capacity lost per year at 25 degrees C. */
  yearlyFade: number;
  /** Full discharges at 25 degrees C after which four fifths of the capacity is left. */
  cycleLife: number;
  /** Share of the capacity lost in 30 days of lying flat. */
  flatLoss: number;
}

export const CHEMISTRY: Record<Chemistry, ChemistryValues> = {
  NiCd: {
    ratedHours: 5,
    peukertExponent: 1.065,
    chargeEfficiency: 0.7,
    lossPerHotDegree: 0.02,
    chargerHours: 20,
    firstDayLoss: 0.1,
    monthlyLoss: 0.1,
    lossPerDegree: 0.005,
    yearlyFade: 0.05,
    cycleLife: 2000,
    flatLoss: 0,
  },
  NiMH: {
    ratedHours: 5,
    peukertExponent: 1.08,
    chargeEfficiency: 0.66,
    lossPerHotDegree: 0.02,
    chargerHours: 19,
    firstDayLoss: 0.13,
    monthlyLoss: 0.13,
    lossPerDegree: 0.008,
    yearlyFade: 0.05,
    cycleLife: 1000,
    flatLoss: 0.02,
  },
  LiFePO4: {
    ratedHours: 5,
    peukertExponent: 1.05,
    chargeEfficiency: 0.99,
    lossPerHotDegree: 0,
    chargerHours: 20,
    firstDayLoss: 0,
    monthlyLoss: 0.025,
    lossPerDegree: 0.008,
    yearlyFade: 0.03,
    cycleLife: 3500,
    flatLoss: 0.05,
  },
  'lead-acid': {
    ratedHours: 20,
    peukertExponent: 1.15,
    chargeEfficiency: 0.85,
    lossPerHotDegree: 0,
    chargerHours: 10,
    firstDayLoss: 0,
    monthlyLoss: 0.03,
    lossPerDegree: 0.006,
    yearlyFade: 0.05,
    cycleLife: 300,
    flatLoss: 0.1,
  },
};

const DAY_MS = 86400000;
const MONTH_MS = 30 * DAY_MS;
const YEAR_MS = 365.25 * DAY_MS;

/**
 * Hours a full battery lasts at a constant current, by Peukert's law in its rated-hour form
 * t = H (C / (I H))^k.
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

/** The rated capacity, Ah, that lasts `hours` at `loadA`: Peukert's law solved for C. */
export function capacityFor(chemistry: Chemistry, hours: number, loadA: number): number {
  const { ratedHours, peukertExponent } = CHEMISTRY[chemistry];
  return loadA * ratedHours * (hours / ratedHours) ** (1 / peukertExponent);
}

/** Acceleration at this many degrees above the reference: twice as fast for every 10. */
export function speedAt(celsius: number, referenceCelsius: number): number {
  return 2 ** ((celsius - referenceCelsius) / 10);
}

/** Share of the charge put in that can be taken out again, at this temperature; none from 80 degrees for NiCd and NiMH. */
export function acceptedShare(chemistry: Chemistry, celsius: number): number {
  const { chargeEfficiency, lossPerHotDegree } = CHEMISTRY[chemistry];
  return chargeEfficiency * Math.max(0, 1 - lossPerHotDegree * Math.max(0, celsius - 30));
}

/** Share of the rated capacity available at this temperature; cold reduces it, warmth adds none. */
export function shareAt(chemistry: Chemistry, celsius: number): number {
  return Math.max(0, 1 + CHEMISTRY[chemistry].lossPerDegree * Math.min(0, celsius - 20));
}

/**
 * Share of the capacity left after calendar ageing, C(t) = C0 (1 - r)^years, r doubling for every 10 degrees.
 */
export function calendarShare(chemistry: Chemistry, ageMs: number, celsius: number): number {
  const fade = Math.min(1, CHEMISTRY[chemistry].yearlyFade * speedAt(celsius, 25));
  return (1 - fade) ** (ageMs / YEAR_MS);
}

/** Share of the capacity left after full discharges: four fifths at the cycle life, which halves for 20 degrees. */
export function cycleShare(chemistry: Chemistry, cycles: number, celsius: number): number {
  return 0.8 ** ((cycles / CHEMISTRY[chemistry].cycleLife) * Math.max(1, 2 ** ((celsius - 25) / 20)));
}

/** Share of its charge that a battery still holds after this time off its charger. */
export function keptCharge(chemistry: Chemistry, restedMs: number, celsius: number): number {
  const { firstDayLoss, monthlyLoss } = CHEMISTRY[chemistry];
  const firstDay = 1 - firstDayLoss * Math.min(1, restedMs / DAY_MS);
  const later = Math.max(0, restedMs - (firstDayLoss > 0 ? DAY_MS : 0));
  return firstDay * (1 - monthlyLoss) ** ((later / MONTH_MS) * speedAt(celsius, 20));
}

/** Share of the capacity left after lying flat for this long. */
export function shareAfterFlat(chemistry: Chemistry, flatMs: number): number {
  return (1 - CHEMISTRY[chemistry].flatLoss) ** (flatMs / MONTH_MS);
}
