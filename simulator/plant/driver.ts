// Drivers of LEDs and of fluorescent lamps on battery: when the lamp lights and how its current runs. Shapes
// and numbers are common practice, no source.

export type DriverKind = 'LED' | 'fluorescent';

/** Currents as shares of the luminaire's battery current. */
export interface Driver {
  /** From the loss of mains to the first current, ms. */
  strikeMs: number;
  /** A cold tube starts with less current and takes this long to reach full current, ms. */
  runUpFrom: number;
  runUpMs: number;
  /** Share with a full battery, and how much of it is lost by the time the battery cuts off. */
  first: number;
  sag: number;
}

const DRIVERS: Record<DriverKind, Driver> = {
  LED: { strikeMs: 400, runUpFrom: 1, runUpMs: 0, first: 1.03, sag: 0.08 },
  fluorescent: { strikeMs: 1500, runUpFrom: 0.75, runUpMs: 30000, first: 1.05, sag: 0.15 },
};

export function driverOf(kind: DriverKind): Driver {
  return DRIVERS[kind];
}

/**
 * Lamp current as a share of its battery current.
 * @param litMs since the loss of mains, ms
 * @param used part of the discharge that is over, 0 to 1
 */
export function lampShare(d: Driver, litMs: number, used: number): number {
  if (litMs < d.strikeMs) return 0;
  const share = d.first - d.sag * used * used;
  if (litMs >= d.runUpMs) return share;
  return share * (d.runUpFrom + ((1 - d.runUpFrom) * litMs) / d.runUpMs);
}
