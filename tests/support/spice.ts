// Runs Debian's ngspice on a netlist, and reads what its `meas` commands say.
import { spawn } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Measured values by name; a measurement that found nothing is missing. */
export type Measured = Map<string, number>;

/** A simulation that cannot find its next step would go on for ever, ms. */
const STUCK_MS = 1_800_000;
const NEXT_RUN = 'next run';

function say(file: string): Promise<string> {
  return new Promise((resolve, reject) => {
    const child = spawn('ngspice', ['-b', file], { stdio: ['ignore', 'pipe', 'pipe'], timeout: STUCK_MS });
    let text = '';
    child.stdout.on('data', (piece) => (text += piece));
    child.stderr.on('data', (piece) => (text += piece));
    child.on('error', reject);
    child.on('close', (_code, signal) =>
      signal ? reject(new Error(`ngspice found no end:\n${text.slice(-500)}`)) : resolve(text),
    );
  });
}

function readRun(text: string): Measured {
  const found = [...text.matchAll(/^(\w+)\s+=\s+([-+.\de]+)/gm)];
  return new Map(found.map(([, name, value]) => [name, Number(value)]));
}

/**
 * Runs one netlist several times.
 * @param lines the circuit, with its title first and without commands
 * @param runs commands before, of and after each run
 * @returns what each run measured
 * @throws Error with ngspice's own words when a run did not reach its end
 */
export async function spice(lines: string[], runs: string[][]): Promise<Measured[]> {
  const folder = await mkdtemp(join(tmpdir(), 'guards-'));
  try {
    const file = join(folder, 'guards.cir');
    const commands = runs.flatMap((run) => [`echo ${NEXT_RUN}`, ...run, 'destroy all']);
    await writeFile(file, [...lines, '.control', ...commands, 'quit', '.endc', '.end', ''].join('\n'));
    const text = await say(file);
    const parts = text.split(NEXT_RUN).slice(1);
    const failed = parts.find((part) => /aborted|singular|fatal|too small/i.test(part)) ?? '';
    if (parts.length !== runs.length || failed)
      throw new Error(`ngspice failed:\n${(failed || text).slice(0, 3000)}`);
    return parts.map(readRun);
  } finally {
    await rm(folder, { recursive: true });
  }
}
