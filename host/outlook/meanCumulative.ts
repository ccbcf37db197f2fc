// How often something has happened to each unit by an age, on average: Nelson's mean cumulative function
// (Recurrent Events Data Analysis for Product Repairs, 2003), the Nelson-Aalen estimate for repeated events.

/** One unit: the ages at which it was watched, and at which something happened to it. */
export interface Watched {
  from: number;
  to: number;
  events: readonly number[];
}

export interface MeanEvents {
  at: number;
  /** Mean number of events per unit up to and including `at`. */
  mean: number;
}

/** The steps of the function, by age. A unit is at risk in (from, to]. */
export function meanCumulative(units: readonly Watched[]): MeanEvents[] {
  const counts = new Map<number, number>();
  for (const { events } of units) for (const at of events) counts.set(at, (counts.get(at) ?? 0) + 1);
  let mean = 0;
  return [...counts]
    .sort(([a], [b]) => a - b)
    .map(([at, count]) => {
      mean += count / units.filter(({ from, to }) => from < at && at <= to).length;
      return { at, mean };
    });
}
