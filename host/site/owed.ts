// What a site file deliberately leaves undone, repeated wherever the file is read.
import type { RuleProfile } from '../profiles/profile';
import type { Site } from './model';

/** One sentence for each circuit whose full tests are not planned. */
export function owedFullTests(site: Site, profile: RuleProfile): string[] {
  const instead = profile.fullLength.instead;
  const rule = instead ? `; rule profile ${profile.name} names ${instead.source}, ${instead.clause}` : '';
  return site.circuits
    .filter((circuit) => circuit.alwaysOccupied)
    .map(
      (circuit) =>
        `Circuit ${circuit.id}: people are always there, so limited duration tests (2/3) are planned instead of duration ` +
        `tests. The duration test is still due unless the local rule accepts the limited one${rule}.`,
    );
}
