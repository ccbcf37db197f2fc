// Builds the worker with the core as shipped, or with one mutant's replacement made in memory. The sources
// are not touched.
import { readFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build, type Plugin } from 'esbuild';
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

/** Source of the mutant's file with its replacement. @throws Error when the place is not found once. */
export function mutantSource(mutant: Mutant): string {
  return mutatedSource(mutant, readFileSync(join(CORE, mutant.file), 'utf8'));
}

/** Puts the mutant's file in place of the shipped one while bundling; nothing without a mutant. */
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

/** Address of a module that runs one walk in a worker thread. */
export async function bundleWorker(mutant?: Mutant): Promise<URL> {
  const built = await build({
    entryPoints: [join(HERE, 'worker.ts')],
    bundle: true,
    write: false,
    format: 'esm',
    platform: 'node',
    logLevel: 'silent',
    plugins: [corePlugin(mutant)],
  });
  const code = Buffer.from(built.outputFiles[0].contents).toString('base64');
  return new URL(`data:text/javascript;base64,${code}`);
}
