// The programs as a release holds them: built once for all tests on an interpreter.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));

/** A board on Ethernet, and one with its lamps on a bus; both have a clock chip. */
export type Board = 'esp32eth' | 'esp32bus';

/**
 * Text of a board's program, or of the one with the usual drivers; rebuilt only where a source has changed.
 * @throws Error when it cannot be built
 */
export function programOf(board?: Board): string {
  execFileSync(process.execPath, ['.ci/build.mjs', '--firmware'], { cwd: ROOT });
  return readFileSync(join(ROOT, 'build/firmware', board ?? '', 'nightproof.min.js'), 'latin1');
}
