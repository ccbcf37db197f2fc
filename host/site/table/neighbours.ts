// Which areas of a draft adjoin, and how much of a site file that takes.
import { SITE_BYTES_MAX } from '../fileText';
import type { Draft, DraftArea } from './draft';

/**
 * By area, the later ones it adjoins: areas of one floor are taken to adjoin, and those of one name on several, so
 * that two of them are never without light in one night. Each pair is there once.
 */
export function neighbours({ areas }: Draft): Map<DraftArea, string[]> {
  return new Map(
    areas.map((area, i) => [
      area,
      areas
        .slice(i + 1)
        .filter(({ id, floor }) => floor === area.floor || area.beside.includes(id))
        .map(({ id }) => id),
    ]),
  );
}

/** One sentence if the areas of a floor are so many that no site file holds all their pairs. */
export function tooManyAreas({ areas, floors }: Draft): string | undefined {
  const most = { name: '', areas: 0 };
  let bytes = 0;
  for (const { id, name } of floors) {
    const own = areas.filter(({ floor }) => floor === id);
    // Each area is named by all before it, with a comma and a space.
    bytes += own.reduce((sum, area, i) => sum + i * (area.id.length + 2), 0);
    if (own.length > most.areas) Object.assign(most, { name, areas: own.length });
  }
  if (bytes <= SITE_BYTES_MAX) return undefined;
  return (
    `floor ${most.name} has ${most.areas} areas, which all adjoin each other as long as nothing else is said: too many ` +
    'pairs for a site file; give rooms that are left by the same way one area.'
  );
}
