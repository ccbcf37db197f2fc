// Reads the codes on sheets of labels as a telephone does: from the picture of each printed sheet.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import jsQR from 'jsqr';

const DOTS_PER_INCH = 150;
const DOTS_PER_MM = DOTS_PER_INCH / 25.4;

/** Of one label, mm from the corner of its sheet. */
export interface Space {
  x: number;
  y: number;
  width: number;
  height: number;
}

interface Picture {
  width: number;
  height: number;
  greys: Uint8Array;
}

/** A picture in Netpbm's "P5" format. */
function pictureIn(bytes: Buffer): Picture {
  const [head, width, height] = /^P5\s(\d+)\s(\d+)\s255\s/.exec(bytes.toString('latin1', 0, 40))!;
  return { width: Number(width), height: Number(height), greys: bytes.subarray(head.length) };
}

function codeIn({ width, height, greys }: Picture, space: Space): string {
  const dots = (mm: number) => Math.round(mm * DOTS_PER_MM);
  const [left, top] = [dots(space.x), dots(space.y)];
  const wide = Math.min(dots(space.width), width - left);
  const high = Math.min(dots(space.height), height - top);
  const pixels = new Uint8ClampedArray(4 * wide * high).fill(255);
  for (let y = 0; y < high; y++)
    for (let x = 0; x < wide; x++)
      pixels.fill(greys[(top + y) * width + left + x], 4 * (y * wide + x), 4 * (y * wide + x) + 3);
  return jsQR(pixels, wide, high)?.data ?? '';
}

/** The code in each space of each sheet, '' where there is none. */
export function labelCodes(pdf: string, spaces: Space[]): string[][] {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-codes-'));
  try {
    execFileSync('pdftoppm', ['-r', String(DOTS_PER_INCH), '-gray', pdf, join(folder, 'sheet')]);
    return readdirSync(folder)
      .sort()
      .map((name) => pictureIn(readFileSync(join(folder, name))))
      .map((picture) => spaces.map((space) => codeIn(picture, space)));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** The spaces of a sheet that is divided evenly, row by row. */
export function evenSpaces(columns: number, rows: number, sheet = { width: 210, height: 297 }): Space[] {
  const [width, height] = [sheet.width / columns, sheet.height / rows];
  return Array.from({ length: columns * rows }, (_, i) => ({
    ...{ x: (i % columns) * width, y: Math.floor(i / columns) * height, width, height },
  }));
}
