// The second small engine: Debian's duktape, an ES5 engine of its own, run as a process.
import { execFile } from 'node:child_process';

/**
 * Runs script files one after the other in one heap of `duk`.
 * @returns the lines written by `print`.
 * @throws Error with the engine's message when a script fails or `duk` is not installed.
 */
export function runDuktape(files: string[]): Promise<string[]> {
  return new Promise((resolve, reject) => {
    execFile('duk', files, { encoding: 'utf8', maxBuffer: 256 << 20 }, (failure, stdout, stderr) => {
      if (failure)
        reject(new Error(`duk ${files.join(' ')}: ${stderr.trim() || failure.message}\n${stdout}`));
      else resolve(stdout.split('\n').slice(0, -1));
    });
  });
}
