// Which circuits a change of the site file is about: their controllers must not be in a test.
import { type Item, isSame, type SiteData } from '../site/edit/data';

/** Says nothing about how a circuit is tested or judged. */
const WORDS = ['name', 'place', 'floorPlan', 'across', 'down'];
/** Sets how all circuits are tested and judged. */
const RULES = ['profile', 'complianceSchedule', 'authorityAgreement'];

function withoutWords(item: Item): Item {
  return Object.fromEntries(
    Object.entries(item)
      .filter(([field]) => !WORDS.includes(field))
      .map(([field, value]) => [field, field === 'luminaires' ? (value as Item[]).map(withoutWords) : value]),
  );
}

/** Ids of the circuits that are tested or judged in another way afterwards, or are gone. */
export function circuitsChanged(before: SiteData, after: SiteData): string[] {
  const isRule = RULES.some((field) => !isSame(before[field] ?? null, after[field] ?? null));
  const left = new Map(after.circuits.map((circuit) => [circuit.id, circuit]));
  return before.circuits
    .filter((circuit) => {
      const now = left.get(circuit.id);
      return isRule || !now || !isSame(withoutWords(circuit), withoutWords(now));
    })
    .map(({ id }) => String(id));
}
