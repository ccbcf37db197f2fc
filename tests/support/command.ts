// The command line as a user calls it.
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));

export interface Outcome {
  code: number | null;
  stdout: string;
  stderr: string;
}

/** Runs `nightproof` with these arguments to its end. */
export function runCommand(args: string[]): Outcome {
  const child = spawnSync(process.execPath, ['build/host/main.js', ...args], {
    cwd: ROOT,
    encoding: 'utf8',
  });
  return { code: child.status, stdout: child.stdout, stderr: child.stderr };
}
