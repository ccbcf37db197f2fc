// The columns of a table of luminaires: one per field of a luminaire in the site file, and the circuit and floor.
import { CHEMISTRIES } from '../fields';

/** Field of the site file that a column fills; `circuit`, `floor` and `shared` are above the luminaire there. */
export type Field =
  | 'id'
  | 'place'
  | 'circuit'
  | 'floor'
  | 'area'
  | 'shared'
  | 'mode'
  | 'ratedMinutes'
  | 'batteryMilliamps'
  | 'mainsMilliamps'
  | 'chemistry'
  | 'batteryFitted'
  | 'serves'
  | 'formerly'
  | 'batteriesBefore'
  | 'celsius'
  | 'module'
  | 'register'
  | 'milliampsPerCount'
  | 'floorPlan'
  | 'across'
  | 'down';

export interface Column {
  field: Field;
  /** As it is written, and first of what is read. */
  title: string;
  /** Other titles that are read. */
  also: string[];
  kind: 'text' | 'number' | 'list' | 'date' | 'yes or no';
  /** No table is made a site without it: a luminaire is judged by it. */
  isNeeded?: boolean;
}

/** In the order in which they are written. */
export const COLUMNS: Column[] = [
  { field: 'id', title: 'id', also: ['luminaire'], kind: 'text', isNeeded: true },
  { field: 'place', title: 'place', also: ['location', 'where'], kind: 'text' },
  { field: 'circuit', title: 'circuit', also: ['circuit id'], kind: 'text', isNeeded: true },
  { field: 'floor', title: 'floor', also: ['level', 'storey'], kind: 'text' },
  { field: 'area', title: 'area', also: ['room', 'zone'], kind: 'text' },
  { field: 'shared', title: 'shared', also: [], kind: 'yes or no' },
  { field: 'mode', title: 'mode', also: [], kind: 'text' },
  { field: 'ratedMinutes', title: 'minutes', also: ['rated minutes'], kind: 'number' },
  {
    field: 'batteryMilliamps',
    title: 'battery mA',
    also: ['battery milliamps'],
    kind: 'number',
    isNeeded: true,
  },
  { field: 'mainsMilliamps', title: 'mains mA', also: ['mains milliamps'], kind: 'number' },
  { field: 'chemistry', title: 'chemistry', also: ['battery chemistry'], kind: 'text' },
  { field: 'batteryFitted', title: 'fitted', also: ['battery fitted'], kind: 'date' },
  { field: 'serves', title: 'serves', also: [], kind: 'list' },
  { field: 'formerly', title: 'formerly', also: [], kind: 'list' },
  { field: 'batteriesBefore', title: 'batteries before', also: [], kind: 'list' },
  { field: 'celsius', title: 'celsius', also: ['temperature'], kind: 'number' },
  { field: 'module', title: 'module', also: [], kind: 'number' },
  { field: 'register', title: 'register', also: [], kind: 'number' },
  { field: 'milliampsPerCount', title: 'mA per count', also: ['milliamps per count'], kind: 'number' },
  { field: 'floorPlan', title: 'floor plan', also: ['plan'], kind: 'text' },
  { field: 'across', title: 'across', also: ['plan x'], kind: 'number' },
  { field: 'down', title: 'down', also: ['plan y'], kind: 'number' },
];

/** A title without what people write differently: case, spaces, brackets. */
const bare = (title: string) => title.toLowerCase().replace(/[^a-z0-9]/g, '');

/** The column with that title; undefined for another. */
export function columnOf(title: string): Column | undefined {
  const given = bare(title);
  return COLUMNS.find((one) => [one.title, one.field, ...one.also].some((known) => bare(known) === given));
}

/** How modes are also written on plans (common practice, no source). */
const MODES: Record<string, string> = { m: 'maintained', nm: 'non-maintained' };

/** The mode or chemistry a cell means, in the words of the site file; the cell as it is if it means none. */
export function wordOf(field: Field, text: string, options: readonly string[]): string {
  const given = bare(text);
  const short = field === 'mode' ? MODES[given] : undefined;
  return short ?? options.find((option) => bare(option) === given) ?? text;
}

export const CHEMISTRY_DEFAULT = CHEMISTRIES[1];
