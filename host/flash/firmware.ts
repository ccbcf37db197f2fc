// The program that goes on a board.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { NamedBoard } from '../../firmware/build/boards';

/**
 * The minified program for a board, ASCII, as it is flashed.
 * @throws BuildError in one sentence where it cannot be built.
 */
export async function firmwareFor(board: NamedBoard): Promise<string> {
  const { buildFirmware } = await import('../../firmware/build/build');
  const outDir = mkdtempSync(join(tmpdir(), 'nightproof-firmware-'));
  try {
    const built = await buildFirmware({ outDir, driver: board.adc.driver });
    return readFileSync(built.minified, 'latin1');
  } finally {
    rmSync(outDir, { recursive: true, force: true });
  }
}
