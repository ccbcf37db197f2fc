// Builds the worker with the core as shipped, or with one mutant's replacement made in memory. The source
// files stay untouched.
import { readFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Plugin } from 'esbuild';
import { workerScript } from '../threads';
import type { Mutant } from './mutant';

const HERE = dirname(fileURLToPath(import.meta.url));
const CORE = join(HERE, '../../firmware/core');

function mutatedSource(mutant: Mutant, source: string): string {
  if (source.split(mutant.find).length !== 2)
    throw new Error(
      `Mutant "${mutant.name}": its place is not found exactly once in firmware/core/${mutant.file}.`,
    );
  return source.replace(mutant.find, () => mutant.replace);
}

/** Source of the mutant's file with its replacement. @throws Error unless the place is found exactly once */
export function mutantSource(mutant: Mutant): string {
  return mutatedSource(mutant, readFileSync(join(CORE, mutant.file), 'utf8'));
}

/** Substitutes the mutant's file for the shipped one while bundling; does nothing without a mutant. */
export function corePlugin(mutant?: Mutant): Plugin {
  return {
    name: 'mutant',
    setup(b) {
      b.onLoad({ filter: /firmware[\\/]core[\\/][a-zA-Z]+\.ts$/ }, ({ path }) => {
        if (!mutant || basename(path) !== mutant.file) return undefined;
        return { contents: mutantSource(mutant), loader: 'ts' };
      });
    },
  };
}

/** The script that runs one walk in a worker thread. */
export function walkScript(mutant?: Mutant): Promise<string> {
  return workerScript(new URL('./worker.ts', import.meta.url), [corePlugin(mutant)]);
}
