// The program that goes on a board.
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { NamedBoard } from '../../firmware/build/boards';

const { resolve } = createRequire(import.meta.url);

/** File of that name in the project; undefined if there is none. */
function find(name: string): string | undefined {
  try {
    return resolve(`#root/${name}`);
  } catch {
    return undefined;
  }
}

let isUpToDate = false;

/**
 * With the sources present, the program must match them: rebuilds it if they have changed. A release has no
 * sources; its program was built with it. Once in a process is enough.
 */
function bringUpToDate(): void {
  const build = find('.ci/build.mjs');
  if (!build || isUpToDate) return;
  const run = spawnSync(process.execPath, [build, '--firmware'], { encoding: 'utf8' });
  if (run.status !== 0) throw new Error(run.stderr.trim());
  isUpToDate = true;
}

/**
 * The minified program for a board, ASCII, as flashed.
 * @throws Error in one sentence if there is none and it cannot be built.
 */
export function firmwareFor(board: NamedBoard): string {
  bringUpToDate();
  const file = find(`build/firmware/${board.name}/nightproof.min.js`);
  if (!file) throw new Error(`This release holds no program for the board "${board.name}".`);
  return readFileSync(file, 'latin1');
}
