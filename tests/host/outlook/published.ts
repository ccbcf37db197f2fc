// Published data sets, as the R package survival 3.5-3 holds them.
import type { Known } from '../../../host/outlook/likelihood';

const OPEN = Number.POSITIVE_INFINITY;
const NONE = Number.NEGATIVE_INFINITY;

/**
 * 432 turbine wheels, each inspected once for a crack: hours (hundreds), inspected, failed. Meeker and Escobar,
 * Statistical Methods for Reliability Data, 1998.
 */
export const TURBINE: readonly (readonly [number, number, number])[] = [
  ...([
    [4, 39, 0],
    [10, 53, 4],
    [14, 33, 2],
    [18, 73, 7],
    [22, 30, 5],
    [26, 39, 9],
  ] as const),
  ...([
    [30, 42, 9],
    [34, 13, 6],
    [38, 34, 22],
    [42, 40, 21],
    [46, 36, 21],
  ] as const),
];

/** Durable goods, age, liquidity ratio; 0 is known only to be 0 or less. J. Tobin, Econometrica 26, 1958, p. 24. */
export const TOBIN: readonly (readonly [number, number, number])[] = [
  ...([
    [0, 57.7, 236],
    [0.7, 50.9, 283],
    [0, 48.5, 207],
    [0, 41.7, 220],
    [0, 47.7, 238],
  ] as const),
  ...([
    [0, 59.8, 216],
    [0, 44.3, 284],
    [3.7, 45.1, 221],
    [0, 51.7, 275],
    [3, 50, 269],
  ] as const),
  ...([
    [10.4, 46.8, 207],
    [0, 58, 249],
    [0, 58.9, 246],
    [0, 40, 277],
    [1.5, 34.1, 231],
  ] as const),
  ...([
    [0, 39.9, 219],
    [0, 33.4, 240],
    [3.5, 48.1, 266],
    [6.1, 46.6, 214],
    [0, 53.1, 251],
  ] as const),
];

/** Days at which valve seats of 41 diesel engines were replaced, the last of each the end of its watch; same book. */
export const VALVE_SEAT: readonly (readonly number[])[] = [
  [761],
  [759],
  [98, 667],
  [326, 653, 653, 667],
  [665],
  [84, 667],
  [87, 663],
  [646, 653],
  [92, 653],
  [651],
  [258, 328, 377, 621, 650],
  [61, 539, 648],
  [254, 276, 298, 640, 644],
  [76, 538, 642],
  [635, 641],
  [349, 404, 561, 649],
  [631],
  [596],
  [120, 479, 614],
  [323, 449, 582],
  [139, 139, 589],
  [593],
  [573, 589],
  [165, 408, 604, 606],
  [249, 594],
  [344, 497, 613],
  [265, 586, 595],
  [166, 206, 348, 389],
  [601],
  [410, 581, 601],
  [611],
  [608],
  [587],
  [367, 603],
  [202, 563, 570, 585],
  [587],
  [578],
  [578],
  [586],
  [585],
  [582],
];

/** Hours of 70 diesel engine fans, below 0 where still running; same book. */
export const FANS: readonly number[] = [
  450, -460, 1150, 1150, -1560, 1600, -1660, -1850, -1850, -1850, -1850, -1850, -2030, -2030, -2030, 2070,
  2070, 2080, -2200, -3000, -3000, -3000, -3000, 3100, -3200, 3450, -3750, -3750, -4150, -4150, -4150, -4150,
  -4300, -4300, -4300, -4300, 4600, -4850, -4850, -4850, -4850, -5000, -5000, -5000, -6100, 6100, -6100,
  -6100, -6300, -6450, -6450, -6700, -7450, -7800, -7800, -8100, -8100, -8200, -8500, -8500, -8500, -8750,
  8750, -8750, -9400, -9900, -10100, -10100, -10100, -11500,
];

/** The turbine wheels as lives in logarithms of hundreds of hours. */
export function turbineLives(): Known[] {
  const common = { entry: NONE, covariates: [1] };
  return TURBINE.flatMap(([hours, inspected, failed]) => [
    { ...common, lower: NONE, upper: Math.log(hours), weight: failed },
    { ...common, lower: Math.log(hours), upper: OPEN, weight: inspected - failed },
  ]).filter(({ weight }) => weight > 0);
}

export function tobinPurchases(): Known[] {
  return TOBIN.map(([durable, age, quant]) => ({
    ...{ lower: durable > 0 ? durable : NONE, upper: durable, entry: NONE, weight: 1 },
    covariates: [1, age, quant],
  }));
}
