// The luminaires of a site as a table that `readTable` takes again.
import type { Luminaire, Site } from '../model';
import { tableText, workbookCell } from './cells';
import { COLUMNS, type Column, type Field } from './columns';
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
    ...(lamp.isExpected && { currents: 'expected' }),
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

/** Titles, and under them one row per luminaire; only columns in which something stands. */
function cellsOfSite(site: Site): { used: Column[]; table: (string | number)[][] } {
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
  return { used, table: rows.map((row) => used.map(({ field }) => row[field] ?? '')) };
}

/** The luminaires as CSV text. */
export function luminaireTable(site: Site): string {
  const { used, table } = cellsOfSite(site);
  // With the mark, spreadsheets take the text for the UTF-8 that it is.
  return `\uFEFF${tableText([used.map(({ title }) => title), ...table])}`;
}

/** Width of a column, characters: as its longest cell, but none so wide that it hides the others. */
function widthOf(cells: (string | number)[]): number {
  return Math.min(50, Math.max(...cells.map((cell) => String(cell).length)) + 2);
}

/** The luminaires as an .xlsx workbook of one sheet, the titles always in view. */
export async function luminaireWorkbook(site: Site): Promise<Uint8Array> {
  const { writeXlsx } = await import('hucre/xlsx');
  const { used, table } = cellsOfSite(site);
  const titles = used.map(({ title }) => title);
  const columns = titles.map((title, i) => ({ width: widthOf([title, ...table.map((row) => row[i])]) }));
  const rows = [titles, ...table].map((row) => row.map((cell) => (cell === '' ? null : workbookCell(cell))));
  return writeXlsx({ sheets: [{ name: 'Luminaires', columns, rows, freezePane: { rows: 1 } }] });
}
