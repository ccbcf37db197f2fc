// Where labels are on a sheet of self-adhesive labels: columns and rows, in the middle of the sheet.
import type { PaperSize } from '../report/pdf/paper';

/** ISO 216 (2007) and ANSI/ASME Y14.1 (2020), mm; the latter from memory. */
const SHEETS: Record<PaperSize, { width: number; height: number }> = {
  a4: { width: 210, height: 297 },
  letter: { width: 215.9, height: 279.4 },
};

/** The grid most sheets come with that have no margins: 70 x 37 mm on A4 (common practice, no source). */
export const GRID_DEFAULT = '3x8';

/** What sheets of labels are out of true by, mm. */
const TOLERANCE = 0.2;

export interface GridSaid {
  paper: PaperSize;
  /** Columns by rows. */
  grid: string;
  /** Width by height, mm; missing: the sheet is divided evenly. */
  label?: string;
  /** Between columns, mm. */
  gap: number;
}

export interface Grid {
  columns: number;
  rows: number;
  /** Of a label, mm. */
  width: number;
  height: number;
  /** Of the first label, mm. */
  left: number;
  top: number;
  gap: number;
}

/** Two numbers with an x between them. */
function pairOf(text: string, pattern: RegExp): [number, number] | undefined {
  const [, a, b] = pattern.exec(text.trim()) ?? [];
  return a === undefined ? undefined : [Number(a), Number(b)];
}

/** @throws Error with one sentence for a grid that no sheet holds */
export function gridOf({ paper, grid, label, gap }: GridSaid): Grid {
  const sheet = SHEETS[paper];
  const [columns, rows] = pairOf(grid, /^([1-9]\d?)x([1-9]\d?)$/) ?? [0, 0];
  if (columns === 0)
    throw new Error(`--grid must be columns x rows such as ${GRID_DEFAULT}, but is "${grid}".`);
  const gaps = (columns - 1) * gap;
  const even: [number, number] = [(sheet.width - gaps) / columns, sheet.height / rows];
  const size = label === undefined ? even : pairOf(label, /^(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)$/);
  if (!size) throw new Error(`--label must be width x height in mm such as 63.5x38.1, but is "${label}".`);
  const [width, height] = size;
  const free = { width: sheet.width - columns * width - gaps, height: sheet.height - rows * height };
  if (free.width < -TOLERANCE)
    throw new Error(
      `${columns} columns of ${width} mm are wider than the sheet of ${sheet.width} mm; choose fewer.`,
    );
  if (free.height < -TOLERANCE)
    throw new Error(
      `${rows} rows of ${height} mm are higher than the sheet of ${sheet.height} mm; choose fewer.`,
    );
  return { columns, rows, width, height, gap, left: free.width / 2, top: free.height / 2 };
}

/** Left and top of a label from the corner of its sheet, mm; `place` counts from 0, row by row. */
export function placeOn(grid: Grid, place: number): { x: number; y: number } {
  const [row, column] = [Math.floor(place / grid.columns), place % grid.columns];
  return { x: grid.left + column * (grid.width + grid.gap), y: grid.top + row * grid.height };
}
