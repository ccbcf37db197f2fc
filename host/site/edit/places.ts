// Which thing a path in the file belongs to, and what of the file people see on the page.
import type { Path } from '../note';
import type { Part } from './change';
import { type Item, type SiteData, valueAt } from './data';

/** Fields of the whole site that are not changed while the host runs, or hold all the rest. */
export const SETTLED: readonly string[] = [
  ...['id', 'simulation', 'witnesses', 'timeStamps'],
  ...['floors', 'areas', 'circuits'],
];

/** Not for people who change the building: what only the simulator reads, and keys. */
const UNSEEN = ['simulation', 'witnesses', 'timeStamps'];

/** The data without what only programs read. */
export function shownData(data: SiteData): SiteData {
  return Object.fromEntries(Object.entries(data).filter(([field]) => !UNSEEN.includes(field))) as SiteData;
}

export interface EditPlace {
  part: Part | 'site';
  /** '' for the site. */
  id: string;
  /** '' for the thing as a whole. */
  field: string;
}

/** The thing and the field that a path is about. */
export function placeOf(data: SiteData | undefined, path: Path): EditPlace {
  const [first, i, second, j] = path;
  const isLuminaire = first === 'circuits' && second === 'luminaires' && typeof j === 'number';
  const part = isLuminaire ? 'luminaires' : (first as Part);
  const isThing = typeof i === 'number' && ['floors', 'areas', 'circuits'].includes(String(first));
  const length = isLuminaire ? 4 : 2;
  const item = isThing ? (valueAt(data, path.slice(0, length)) as Item | undefined) : undefined;
  if (!item) return { part: 'site', id: '', field: typeof first === 'string' ? first : '' };
  const field = path[length];
  return { part, id: String(item.id ?? ''), field: typeof field === 'string' ? field : '' };
}
