// The luminaires of a site as a table that `readTable` takes again.
import type { Luminaire, Site } from '../model';
import { tableText } from './cells';
import { COLUMNS, type Field } from './columns';
import { labelOf } from './ids';

const MINUTE_SEC = 60;

interface Labels {
  circuit: string;
  floor: string;
  area: string;
  /** Yes or no. */
  shared: string;
}

function cellsOf(lamp: Luminaire, labels: Labels): Partial<Record<Field, string | number>> {
  const {
    id,
    place,
    area,
    mode,
    chemistry,
    batteryFitted,
    serves,
    formerly,
    batteriesBefore,
    celsius,
    module,
    spot,
  } = lamp;
  const isOwnAreaOnly = serves.length === 1 && serves[0] === area;
  return {
    ...{ id, place, mode, chemistry, batteryFitted, ...labels },
    ratedMinutes: lamp.ratedSec / MINUTE_SEC,
    batteryMilliamps: lamp.batteryMilliamps,
    ...(lamp.mainsMilliamps > 0 && { mainsMilliamps: lamp.mainsMilliamps }),
    ...(!isOwnAreaOnly && { serves: serves.join(' ') }),
    ...(formerly && { formerly: formerly.join(' ') }),
    ...(batteriesBefore && { batteriesBefore: batteriesBefore.join(' ') }),
    ...(celsius !== undefined && { celsius }),
    ...(module && {
      module: module.address,
      register: module.register,
      milliampsPerCount: module.milliampsPerCount,
    }),
    ...spot,
  };
}

/** One row per luminaire under the titles; only columns in which something stands. */
export function luminaireTable(site: Site): string {
  const areas = new Map(site.areas.map((area) => [area.id, area]));
  const floors = new Map(site.floors.map((floor) => [floor.id, labelOf(floor)]));
  const rows = site.circuits.flatMap((circuit) =>
    circuit.luminaires.map((lamp) => {
      const area = areas.get(lamp.area)!;
      return cellsOf(lamp, {
        circuit: labelOf(circuit),
        floor: floors.get(area.floor)!,
        area: labelOf(area),
        shared: circuit.shared ? 'yes' : 'no',
      });
    }),
  );
  const used = COLUMNS.filter(({ field }) => rows.some((row) => row[field] !== undefined));
  const table = rows.map((row) => used.map(({ field }) => row[field] ?? ''));
  // With the mark, spreadsheets take the text for the UTF-8 that it is.
  return `\uFEFF${tableText([used.map(({ title }) => title), ...table])}`;
}
