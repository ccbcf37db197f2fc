// npm run test:engine [file ...]: the emitted firmware on the real interpreter, on this machine or on a board.
import { fileURLToPath } from 'node:url';
import { startVitest } from 'vitest/node';
import { interpreterCommand, misnamedInterpreter } from '../support/interpreter';
import { boardPort } from '../support/interpreterPort';

const CONFIG = fileURLToPath(new URL('./vitest.config.ts', import.meta.url));

/** What is missing before the tests can run, in one sentence. */
function missing(): string | undefined {
  if (!interpreterCommand && !boardPort)
    return (
      'There is no interpreter in ../shared/engine beside this folder: set ESPRUINO_BIN to a Linux build of ' +
      'Espruino, or ESPRUINO_PORT to the serial port of a board on the bench (docs/bench-rig.md).'
    );
  if (process.env.ESPRUINO_BIN && boardPort) return 'Set only one of ESPRUINO_BIN and ESPRUINO_PORT.';
  return misnamedInterpreter();
}

/** Runs the tests and prints how many passed. @returns how many did not. */
async function run(files: string[]): Promise<number> {
  const vitest = await startVitest('test', files, { config: CONFIG, watch: false });
  const modules = vitest.state.getTestModules();
  const tests = modules.flatMap((module) => [...module.children.allTests()]);
  const count = (state: string): number => tests.filter((test) => test.result().state === state).length;
  // A file that cannot be loaded, a set-up that fails or no test at all counts as a failure too.
  const broken = modules.filter((module) => !module.ok() && ![...module.children.allTests('failed')].length);
  const errors = broken.length + vitest.state.getUnhandledErrors().length + (tests.length === 0 ? 1 : 0);
  const failed = count('failed') + errors;
  await vitest.close();
  if (count('skipped') > 0) console.log(`${count('skipped')} skipped`);
  console.log(`${count('passed')} passed, ${failed} failed`);
  return failed;
}

const sentence = missing();
if (sentence) {
  console.error(sentence);
  process.exit(1);
}
process.exit((await run(process.argv.slice(2))) > 0 ? 1 : 0);
