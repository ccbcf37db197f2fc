// The script of a thread with the core as shipped, or with one mutant's replacement made in memory. The source
// files stay untouched; a mutant needs them and the compiler, and a release has neither.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { basename, dirname } from 'node:path';
import type { Plugin } from 'esbuild';
import { type ThreadRoom, type ThreadScript, threadScript } from '../threads';
import type { Mutant } from './mutant';

const { resolve } = createRequire(import.meta.url);

function mutatedSource(mutant: Mutant, source: string): string {
  if (source.split(mutant.find).length !== 2)
    throw new Error(
      `Mutant "${mutant.name}": its place is not found exactly once in firmware/core/${mutant.file}.`,
    );
  return source.replace(mutant.find, () => mutant.replace);
}

/** Source of the mutant's file with its replacement. @throws Error unless the place is found exactly once */
export function mutantSource(mutant: Mutant): string {
  return mutatedSource(mutant, readFileSync(resolve(`#root/firmware/core/${mutant.file}`), 'utf8'));
}

/** Substitutes the mutant's file for the shipped one while bundling. */
function corePlugin(mutant: Mutant): Plugin {
  return {
    name: 'mutant',
    setup(b) {
      b.onLoad({ filter: /firmware[\\/]core[\\/][a-zA-Z]+\.ts$/ }, ({ path }) =>
        basename(path) === mutant.file ? { contents: mutantSource(mutant), loader: 'ts' } : undefined,
      );
    },
  };
}

/**
 * The compiler that makes mutants.
 * @throws Error in one sentence when it is not installed
 */
export async function mutantCompiler(): Promise<typeof import('esbuild')> {
  try {
    return await import('esbuild');
  } catch {
    throw new Error(
      'Broken cores are compiled from the sources: clone the repository, run `npm ci` there, then try again.',
    );
  }
}

/** The script of a room's threads: prebuilt, or compiled with a mutant. @throws Error as `mutantCompiler` */
export async function scriptOf(room: ThreadRoom, mutant?: Mutant): Promise<ThreadScript> {
  if (!mutant) return threadScript(room);
  const { build } = await mutantCompiler();
  const built = await build({
    absWorkingDir: dirname(resolve('#root/package.json')),
    entryPoints: [`simulator/${room}/worker.ts`],
    bundle: true,
    write: false,
    format: 'iife',
    platform: 'node',
    logLevel: 'silent',
    plugins: [corePlugin(mutant)],
  });
  return { text: built.outputFiles[0].text };
}
