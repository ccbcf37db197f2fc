import jsQR from 'jsqr';
import { expect, it } from 'vitest';
import { cameraCode } from '../../../host/cli/cameraCode';

const ADDRESS = 'https://192.168.178.120:8350';
/** Points of a module's side in the picture. */
const SIDE = 4;

/** What a camera reads in the terminal, whose half blocks are `▀`. */
function seen(lines: string[]): string | undefined {
  const rows = lines.flatMap((line) => {
    const cells = [...line.matchAll(/\[(30|97);(40|107)m▀/g)];
    return [cells.map(([, top]) => top === '30'), cells.map(([, , bottom]) => bottom === '40')];
  });
  const [high, wide] = [rows.length * SIDE, rows[0].length * SIDE];
  const pixels = new Uint8ClampedArray(4 * wide * high).fill(255);
  for (let y = 0; y < high; y++)
    for (let x = 0; x < wide; x++)
      if (rows[Math.floor(y / SIDE)][Math.floor(x / SIDE)]) {
        const at = 4 * (y * wide + x);
        pixels.fill(0, at, at + 3);
      }
  return jsQR(pixels, wide, high)?.data;
}

it('is read by a camera, and leaves room for the address and the code on a screen of 24 lines', () => {
  const lines = cameraCode(ADDRESS).trimEnd().split('\n');
  expect(seen(lines)).toBe(ADDRESS);
  expect(lines.length).toBeLessThanOrEqual(20);
  expect(seen(lines.slice(0, 8))).toBeUndefined();
});
