// A draft as a site file that people go on editing: one luminaire a line, and a comment at everything that is a default.
import type { Building, DraftHours } from './building';
import { onOneLine } from './cells';
import { type Draft, type DraftCircuit, type DraftLamp, pictureOf } from './draft';
import { neighbours } from './neighbours';

/** Words that YAML, or a reader of an older version of it, takes for something else than text. */
const WORDS = /^(true|false|yes|no|on|off|y|n|null|nan|inf)$/i;

/** A value as YAML, also inside braces. */
export function scalar(value: unknown): string {
  if (typeof value === 'number') return String(value);
  if (Array.isArray(value)) return `[${value.map(scalar).join(', ')}]`;
  const text = String(value);
  const isPlain = /^[A-Za-z][\w ./-]*$/.test(text) && !/ $/.test(text) && !WORDS.test(text);
  return isPlain || /^\d{4}-\d{2}-\d{2}$/.test(text) ? text : JSON.stringify(text);
}

function hoursLines(field: string, hours: DraftHours[], comment: string): string[] {
  if (hours.length === 0) return [`${field}: []${comment}`];
  const line = ({ days, from, to }: DraftHours) =>
    `  - { days: [${days.join(', ')}], from: "${from}", to: "${to}" }`;
  return [`${field}:${comment}`, ...hours.map(line)];
}

/** Fields that a circuit may say once for all its luminaires. */
const COMMON = ['ratedMinutes', 'chemistry', 'batteryFitted'] as const;

/** In the order in which people read them. */
const ORDER = [
  'id',
  'place',
  'area',
  'serves',
  'mode',
  'batteryMilliamps',
  'mainsMilliamps',
  'currents',
  ...COMMON,
] as const;

/** The value that most luminaires of a circuit have. */
function usual(luminaires: DraftLamp[], field: (typeof COMMON)[number]): unknown {
  const counts = new Map<unknown, number>();
  for (const lamp of luminaires) counts.set(lamp[field], (counts.get(lamp[field]) ?? 0) + 1);
  return [...counts].reduce((best, one) => (one[1] > best[1] ? one : best))[0];
}

function circuitLines({ id, name, floor, shared, luminaires }: DraftCircuit): string[] {
  const common = Object.fromEntries(COMMON.map((field) => [field, usual(luminaires, field)]));
  const lampLine = (lamp: DraftLamp): string => {
    const rest = Object.keys(lamp).filter((field) => !(ORDER as readonly string[]).includes(field));
    const said = [...ORDER, ...rest] as (keyof DraftLamp)[];
    const parts = said
      .filter((field) => lamp[field] !== undefined && common[field] !== lamp[field])
      .map((field) => `${field}: ${scalar(lamp[field])}`);
    return `      - { ${parts.join(', ')} }`;
  };
  return [
    `  - id: ${scalar(id)}`,
    `    name: ${scalar(name)}`,
    `    floor: ${scalar(floor)}`,
    `    shared: ${shared ?? 'false # a default'}`,
    ...COMMON.map((field) => `    ${field}: ${scalar(common[field])}`),
    '    luminaires:',
    ...luminaires.map(lampLine),
  ];
}

function areaLines(draft: Draft): string[] {
  return [...neighbours(draft)].map(([{ id, name, floor }, next]) => {
    const adjacent = next.length > 0 ? `, adjacent: [${next.map(scalar).join(', ')}]` : '';
    return `  - { id: ${scalar(id)}, name: ${scalar(name)}, floor: ${scalar(floor)}${adjacent} }`;
  });
}

function planLines({ floorPlans, floors }: Draft): string[] {
  if (floorPlans.length === 0) return [];
  const line = (plan: (typeof floorPlans)[number]) => {
    const name = floors.find(({ id }) => id === plan.floor)!.name;
    return (
      `  - { id: ${scalar(plan.id)}, name: ${scalar(name)}, picture: ${scalar(pictureOf(plan))}, ` +
      `floor: ${scalar(plan.floor)} }`
    );
  };
  return [
    '',
    '# A table holds no pictures: put them beside this file.',
    'floorPlans:',
    ...floorPlans.map(line),
  ];
}

/** What is taken of areas, because a table says nothing of it. */
function areaDefaults({ areas, floors }: Draft): string[] {
  const rest =
    floors.length > 1 ? ['areas of different floors adjoin only where they have the same name'] : [];
  return [
    ...(areas.length > floors.length ? ['all areas of a floor adjoin each other'] : []),
    ...rest.map((line) => `${line}; add the others to adjacent`),
    'nobody sleeps or is always anywhere; sleeping and alwaysOccupied of an area change it',
    'no area is marked as the way out of others, such as a stair; wayOut of an area marks it',
  ];
}

/** What is said at the top and, about each default, to whoever made the file. */
export function defaultLines(building: Building, draft: Draft): string[] {
  return [...building.defaults.values(), ...draft.defaults, ...areaDefaults(draft)];
}

/** The whole site file; `origin` says in a few words where it comes from. */
export function siteText(building: Building, draft: Draft, origin: string): string {
  const mark = (field: string) => (building.defaults.has(field) ? ' # a default' : '');
  const top = (field: 'id' | 'name' | 'timeZone' | 'profile' | 'responsible') =>
    `${field}: ${scalar(building[field])}${mark(field)}`;
  return [
    `# ${onOneLine(origin)}`,
    '# Every field there is: docs/site-file.md. Check the file after each change: nightproof check FILE',
    '# Nobody said these, so they are defaults; put right what is wrong:',
    ...defaultLines(building, draft).map((line) => `#   ${onOneLine(line)}`),
    ...[top('id'), top('name'), top('timeZone'), top('profile'), top('responsible'), ''],
    '# When the supply may be cut; a time before "from" means the next morning.',
    ...hoursLines('testWindows', building.windows, mark('testWindows')),
    '# When people are there. Tests are planned around these hours.',
    ...hoursLines('opening', building.opening, mark('opening')),
    '',
    'floors:',
    ...draft.floors.map(({ id, name }) => `  - { id: ${scalar(id)}, name: ${scalar(name)} }`),
    ...planLines(draft),
    '',
    '# adjacent: areas an escape route leads into directly, also on other floors. Their lights are never out together.',
    'areas:',
    ...areaLines(draft),
    '',
    '# Currents in mA, measured at commissioning, or expected until then: a luminaire is judged by them.',
    'circuits:',
    ...draft.circuits.flatMap(circuitLines),
    '',
  ].join('\n');
}
