// An invented site file as large as wanted: five circuits an area, twenty areas a floor.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { loadSite } from '../../host/site/load';
import type { Site } from '../../host/site/model';

/** What differs between estates of the same number of circuits. */
export interface EstateShape {
  /** Of each circuit, 1 to 16; 16 by default. */
  luminaires?: number;
  /** Days between function tests, where they are to be made more often than the rule asks for. */
  functionTestDays?: number;
  /** Between the starts of two tests in one night, s; that of the site file by default. */
  staggerSec?: number;
}

/** With more function tests, duration tests stay as seldom as the rule has them, days. */
const DURATION_DAYS = 365;
const CIRCUITS_PER_AREA = 5;
const AREAS_PER_FLOOR = 20;

/** Writes the file into `folder` and loads it; luminaire 3 of circuit c17 is L17-3. */
export function writeEstate(
  folder: string,
  circuits: number,
  { luminaires = 16, functionTestDays, staggerSec }: EstateShape = {},
): { site: Site; file: string } {
  const areas = Math.ceil(circuits / CIRCUITS_PER_AREA);
  const floorOf = (area: number) => `f${Math.floor(area / AREAS_PER_FLOOR)}`;
  const list = <T>(count: number, line: (i: number) => T) => Array.from({ length: count }, (_, i) => line(i));
  const lamp = (c: number, area: number) => (i: number) =>
    `      - { id: L${c}-${i}, place: Corridor ${i}, area: a${area}, mode: non-maintained, batteryMilliamps: 180 }`;
  const circuit = (c: number): string[] => {
    const area = Math.floor(c / CIRCUITS_PER_AREA);
    return [
      `  - { id: c${c}, name: Circuit ${c}, floor: ${floorOf(area)}, ratedMinutes: 60, chemistry: NiMH,`,
      '      batteryFitted: 2024-02-20, luminaires: [',
      `${list(luminaires, lamp(c, area))
        .map((line) => line.replace('- {', '  {'))
        .join(',\n')} ] }`,
    ];
  };
  const lines = [
    'id: estate',
    'name: The estate',
    'timeZone: Europe/London',
    'responsible: The porter',
    'testWindows: [{ days: [mon, tue, wed, thu, fri, sat, sun], from: "22:00", to: "07:00" }]',
    'opening: []',
    'openingsAtOnce: 100',
    ...(staggerSec === undefined ? [] : [`staggerSeconds: ${staggerSec}`]),
    ...(functionTestDays === undefined
      ? []
      : [`testMore: { functionTestDays: ${functionTestDays}, durationTestDays: ${DURATION_DAYS} }`]),
    `floors: [${list(Math.ceil(areas / AREAS_PER_FLOOR), (i) => `{ id: f${i}, name: Floor ${i} }`).join(', ')}]`,
    'areas:',
    ...list(areas, (i) => `  - { id: a${i}, name: Area ${i}, floor: ${floorOf(i)} }`),
    'circuits:',
    ...list(circuits, circuit).flat(),
  ];
  const file = join(folder, 'estate.yaml');
  writeFileSync(file, `${lines.join('\n')}\n`);
  const loaded = loadSite(file);
  if ('mistakes' in loaded)
    throw new Error(
      loaded.mistakes
        .map((m) => m.message)
        .slice(0, 3)
        .join('\n'),
    );
  return { site: loaded.site, file };
}
