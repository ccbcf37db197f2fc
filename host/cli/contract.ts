// `contract`: the contract with other systems as files for their tools.
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { contractFiles } from '../integrators/documents/contract';

/** @returns the exit code. @throws Error with one sentence if the folder cannot be written. */
export function contractCommand({ out }: { out: string }): number {
  const files = Object.entries(contractFiles());
  try {
    mkdirSync(out, { recursive: true });
    for (const [name, text] of files) writeFileSync(join(out, name), text);
  } catch (error) {
    throw new Error(`The folder ${out} cannot be written: ${(error as Error).message}.`);
  }
  process.stdout.write(`${files.map(([name]) => join(out, name)).join('\n')}\n`);
  return 0;
}
