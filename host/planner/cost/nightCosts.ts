import type { Night } from '../nights/nights';
import type { Burden, Presence } from './exposure';

/** How long a test of a kind takes, needs in its slot, and recharges, s. */
export interface Lengths {
  testSec: number;
  needSec: number;
  rechargeSec: number;
}

/** By index of the night: hours of a test that starts with the window, and the fewest hours of any start. */
export interface Costs {
  first: Float64Array;
  least: Float64Array;
}

/** Cost of a test in each night for one pattern of presence; seconds. */
function costsOf(presence: Presence, nights: Night[], { testSec, needSec, rechargeSec }: Lengths): Costs {
  const span = testSec + rechargeSec;
  const first = new Float64Array(nights.length);
  const least = new Float64Array(nights.length);
  nights.forEach((night, i) => {
    const latest = night.end - needSec;
    const cost = (start: number) => presence.within(start, start + span);
    first[i] = cost(night.start);
    least[i] = Math.min(first[i], cost(Math.max(night.start, latest)));
    // Between two instants at which people come or go, the cost is linear in the start.
    for (const edge of presence.edges(night.start, latest)) least[i] = Math.min(least[i], cost(edge));
    for (const edge of presence.edges(night.start + span, latest + span))
      least[i] = Math.min(least[i], cost(edge - span));
  });
  return { first, least };
}

/** Cost of tests in each permitted night, calculated once for each pattern of presence and length of test. */
export class NightCosts {
  private readonly byPresence = new Map<Presence, Map<string, Costs>>();

  constructor(private readonly nights: Night[]) {}

  /**
   * Hours by index of the night: of a test that starts with the window, or of one that starts when it costs
   * least. For circuits that light several areas the least may be too low, never too high.
   */
  of(burden: Burden, lengths: Lengths, which: keyof Costs): Float64Array {
    const hours = new Float64Array(this.nights.length);
    for (const { presence, share } of burden.parts) {
      const part = this.part(presence, lengths)[which];
      for (let i = 0; i < hours.length; i++) hours[i] += (share * part[i]) / 3600;
    }
    return hours;
  }

  private part(presence: Presence, lengths: Lengths): Costs {
    const own = this.byPresence.get(presence) ?? new Map<string, Costs>();
    this.byPresence.set(presence, own);
    const key = `${lengths.testSec} ${lengths.needSec} ${lengths.rechargeSec}`;
    const costs = own.get(key) ?? costsOf(presence, this.nights, lengths);
    own.set(key, costs);
    return costs;
  }
}
