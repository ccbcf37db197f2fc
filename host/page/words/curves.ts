// Discharge curves of several years on one axis in minutes.

export interface StoredCurve {
  at: number;
  /** Seconds between two points. */
  step: number;
  /** Percent of the commissioned current; below zero means unknown. */
  percent: number[];
  /** No stored reading is further from the curve than this, percent. */
  bound: number;
}

/**
 * Columns for a plot: the minutes of all curves merged and sorted, then one column per curve, with null where
 * that curve has no point or an unknown one.
 */
export function curveColumns(curves: StoredCurve[]): { minutes: number[]; columns: (number | null)[][] } {
  const instants = new Set<number>();
  for (const curve of curves) for (const i of curve.percent.keys()) instants.add(i * curve.step);
  const seconds = [...instants].sort((a, b) => a - b);
  const columns = curves.map((curve) => {
    const at = new Map(curve.percent.map((p, i) => [i * curve.step, p < 0 ? null : p]));
    return seconds.map((s) => at.get(s) ?? null);
  });
  return { minutes: seconds.map((s) => s / 60), columns };
}

/** Minutes until the curve drops below `floor` percent and stays there to its end; null if it never does. */
export function minutesLit(curve: StoredCurve, floor: number): number | null {
  const known = curve.percent.filter((p) => p >= 0);
  if (known.length === 0 || known[known.length - 1] >= floor) return null;
  let i = known.length - 1;
  while (i > 0 && known[i - 1] < floor) i--;
  return (i * curve.step) / 60;
}
