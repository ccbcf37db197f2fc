// Failures drawn for one luminaire. Only the seed and the luminaire's name decide, so it fails at the same
// instants whoever tests it and however it is wired. Failure rates are invented (docs/whatif.md).
import type { FaultSpec } from '../faults';
import { fork, nextUnit } from '../random';

const YEAR_MS = 365.25 * 86_400_000;

/** Share of luminaires affected per year; no source. */
export const YEARLY_SHARE = { 'dead lamp': 0.03, 'aged battery': 0.04, 'charger dead': 0.02 } as const;
/** How long a suddenly faded battery still lasts, as shares of the rated duration; no source. */
const FADED_FROM = 0.1;
const FADED_TO = 0.9;

type Drawn = keyof typeof YEARLY_SHARE;
const KINDS = Object.keys(YEARLY_SHARE) as Drawn[];

/** Failures of a luminaire before `until`, simulated ms; adding years changes none of the earlier ones. */
export function drawFailures(luminaire: string, ratedSec: number, seed: number, until: number): FaultSpec[] {
  return KINDS.flatMap((kind) => {
    const random = fork(seed, `fails ${kind} ${luminaire}`);
    const faults: FaultSpec[] = [];
    for (let year = 0; year * YEAR_MS < until; year++) {
      const isHit = nextUnit(random) < YEARLY_SHARE[kind];
      const at = Math.floor((year + nextUnit(random)) * YEAR_MS);
      const lasts = FADED_FROM + (FADED_TO - FADED_FROM) * nextUnit(random);
      if (!isHit || at >= until) continue;
      if (kind === 'aged battery')
        faults.push({ kind, luminaire, at, lastsMs: Math.floor(lasts * ratedSec * 1000) });
      else faults.push({ kind, luminaire, at });
    }
    return faults;
  });
}
