import type { Site } from '../site/model';
import { waysOut } from '../site/waysOut';
import { powerFailureWords } from '../words/codes';

/**
 * What to do if the power fails while these areas are not ready, by name. Where that is every way out of some
 * area, people must still go by one of them, so they are not told to leave it.
 */
export function powerFailureIn(site: Site, areas: string[]): string {
  const names = new Map(site.areas.map(({ id, name }) => [id, name]));
  const unready = new Set(areas);
  const isUnready = (id: string) => unready.has(names.get(id) ?? '');
  const lost = [...waysOut(site).values()].filter((ways) => ways.length > 0 && ways.every(isUnready));
  const kept = new Set(lost.flatMap((ways) => ways.map((id) => names.get(id)!)));
  if (kept.size === 0) return powerFailureWords(areas, site.responsible);
  const left = areas.filter((area) => !kept.has(area));
  const by = `${[...kept].join(' or ')} by torchlight without stopping there: no way out is fully lit.`;
  return left.length > 0
    ? `${powerFailureWords(left, site.responsible)} Go by ${by}`
    : `If the power fails: leave the building by ${by} Tell ${site.responsible}.`;
}
