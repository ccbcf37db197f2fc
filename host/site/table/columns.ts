// The columns of a table of luminaires: one per field of a luminaire in the site file, and the circuit and floor.
// Which titles people give them, and which letters for modes and batteries, is common practice, no source.
import type { Chemistry } from '../model';

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
  | 'currents'
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
  /** Other titles that are read, without their unit. */
  also: string[];
  /** Titles that are read where most cells under them are what the column holds. */
  perhaps?: string[];
  /** Words in a title by which it may be meant. */
  words?: string[];
  kind: 'text' | 'number' | 'list' | 'date' | 'yes or no';
  /** What its numbers measure, so that a title or a cell may name the unit. */
  measure?: 'time' | 'current' | 'temperature';
  /** No table is made a site without it: a luminaire is judged by it. */
  isNeeded?: boolean;
}

/** In the order in which they are written. */
export const COLUMNS: Column[] = [
  {
    field: 'id',
    title: 'id',
    also: [
      ...['luminaire', 'no.', 'ref', 'reference', 'luminaire no', 'luminaire id', 'luminaire ref', 'number'],
      ...['fitting no', 'fitting number'],
    ],
    words: ['luminaire', 'fitting', 'no', 'number', 'ref', 'tag'],
    kind: 'text',
    isNeeded: true,
  },
  {
    field: 'place',
    title: 'place',
    also: ['location', 'where', 'position'],
    words: ['place', 'location', 'position', 'description'],
    kind: 'text',
  },
  {
    field: 'circuit',
    title: 'circuit',
    also: ['circuit id', 'circuit no', 'circuit ref', 'circuit number', 'circuit name', 'cct'],
    words: ['circuit', 'cct', 'mcb', 'db', 'breaker', 'way'],
    kind: 'text',
    isNeeded: true,
  },
  { field: 'floor', title: 'floor', also: ['level', 'storey'], words: ['floor', 'level'], kind: 'text' },
  { field: 'area', title: 'area', also: ['room', 'zone'], words: ['area', 'room', 'zone'], kind: 'text' },
  { field: 'shared', title: 'shared', also: [], words: ['shared'], kind: 'yes or no' },
  {
    field: 'mode',
    title: 'mode',
    also: ['M/NM', 'NM/M', 'type (M/NM)', 'mode (M/NM)', 'maintained/non-maintained'],
    perhaps: ['type', 'maintained', 'luminaire type', 'fitting type', 'category'],
    words: ['mode', 'type', 'maintained', 'nm', 'operation', 'category'],
    kind: 'text',
  },
  {
    field: 'ratedMinutes',
    title: 'minutes',
    also: ['rated minutes', 'duration', 'rated duration', 'autonomy', 'hours'],
    words: ['duration', 'autonomy', 'hours', 'hrs', 'minutes', 'mins'],
    kind: 'number',
    measure: 'time',
  },
  {
    field: 'batteryMilliamps',
    title: 'battery mA',
    also: ['battery milliamps', 'battery current', 'lamp current', 'current', 'current on battery'],
    words: ['battery', 'current', 'ma', 'amps'],
    kind: 'number',
    measure: 'current',
    isNeeded: true,
  },
  {
    field: 'mainsMilliamps',
    title: 'mains mA',
    also: ['mains milliamps', 'mains current', 'current on mains', 'lamp current on mains'],
    words: ['mains', 'current', 'ma', 'amps'],
    kind: 'number',
    measure: 'current',
  },
  { field: 'currents', title: 'currents', also: [], kind: 'text' },
  {
    field: 'chemistry',
    title: 'chemistry',
    also: ['battery chemistry', 'battery type', 'type of battery'],
    perhaps: ['battery', 'cells'],
    words: ['battery', 'batteries', 'chemistry', 'cells'],
    kind: 'text',
  },
  {
    field: 'batteryFitted',
    title: 'fitted',
    also: ['battery fitted', 'battery date', 'date fitted', 'battery installed', 'battery fitted on'],
    words: ['battery', 'batteries', 'fitted', 'installed', 'install'],
    kind: 'date',
  },
  { field: 'serves', title: 'serves', also: [], kind: 'list' },
  { field: 'formerly', title: 'formerly', also: [], kind: 'list' },
  { field: 'batteriesBefore', title: 'batteries before', also: [], kind: 'list' },
  { field: 'celsius', title: 'celsius', also: ['temperature'], kind: 'number', measure: 'temperature' },
  { field: 'module', title: 'module', also: [], kind: 'number' },
  { field: 'register', title: 'register', also: [], kind: 'number' },
  { field: 'milliampsPerCount', title: 'mA per count', also: ['milliamps per count'], kind: 'number' },
  { field: 'floorPlan', title: 'floor plan', also: ['plan'], kind: 'text' },
  { field: 'across', title: 'across', also: ['plan x'], kind: 'number' },
  { field: 'down', title: 'down', also: ['plan y'], kind: 'number' },
];

/** A title without what people write differently: case, spaces, brackets. */
export const bare = (title: string) => title.toLowerCase().replace(/[^a-z0-9]/g, '');

const known = (names: (column: Column) => string[]) =>
  new Map(COLUMNS.flatMap((column) => names(column).map((name): [string, Column] => [bare(name), column])));

/** Columns by their titles, which mean nothing else. */
export const CERTAIN = known(({ title, field, also }) => [...also, field, title]);
/** Columns by titles that may mean something else too. */
export const PERHAPS = known(({ perhaps = [] }) => perhaps);

/** How modes are also written on plans. */
const MODES: Record<string, string> = {
  m: 'maintained',
  nm: 'non-maintained',
  sm: 'switched maintained',
  sustained: 'combined',
};

/** Hours behind a mode, such as NM3. */
export const MODE_HOURS = /^(n?m)([123])$/i;

const BATTERIES: Record<string, string> = {
  nickelcadmium: 'NiCd',
  nickelmetalhydride: 'NiMH',
  lithiumironphosphate: 'LiFePO4',
  lfp: 'LiFePO4',
  sla: 'lead-acid',
};

/** The mode or chemistry a cell means, in the words of the site file; the cell as it is if it means none. */
export function wordOf(field: Field, text: string, options: readonly string[]): string {
  const given = bare(text);
  const short =
    field === 'mode'
      ? MODES[given.replace(MODE_HOURS, '$1')]
      : field === 'chemistry'
        ? BATTERIES[given]
        : undefined;
  return short ?? options.find((option) => bare(option) === given) ?? text;
}

export const CHEMISTRY_DEFAULT: Chemistry = 'NiMH';

/** Each column with the titles that are read for it, as lines. */
export function titleLines(): string[] {
  return COLUMNS.map(({ title, also, perhaps = [], isNeeded }) => {
    const others = [...also, ...perhaps];
    return `${title}${isNeeded ? ' (needed)' : ''}${others.length > 0 ? `: also ${others.join(', ')}` : ''}`;
  });
}
