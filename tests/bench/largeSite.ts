// An invented site file as large as wanted: sixteen luminaires a circuit, five circuits an area, twenty areas a floor.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { loadSite } from '../../host/site/load';
import type { Site } from '../../host/site/model';

const LUMINAIRES = 16;
const CIRCUITS_PER_AREA = 5;
const AREAS_PER_FLOOR = 20;

/** Writes the file into `folder` and loads it; luminaire 3 of circuit c17 is L17-3. */
export function writeEstate(folder: string, circuits: number): { site: Site; file: string } {
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
      `${list(LUMINAIRES, lamp(c, area))
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
