// `contract`: the contract with other systems as files for their tools.
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { contractFiles } from '../integrators/documents/contract';
import { modbusPlaces } from '../integrators/modbus/document';
import type { Site } from '../site/model';

/** @returns the exit code. @throws Error with one sentence if the folder cannot be written. */
export function contractCommand({ out, site }: { out: string; site?: Site }): number {
  const files = Object.entries({ ...contractFiles(), ...(site && { 'modbus.csv': modbusPlaces(site) }) });
  try {
    mkdirSync(out, { recursive: true });
    for (const [name, text] of files) writeFileSync(join(out, name), text);
  } catch (error) {
    throw new Error(`The folder ${out} cannot be written: ${(error as Error).message}.`);
  }
  process.stdout.write(`${files.map(([name]) => join(out, name)).join('\n')}\n`);
  return 0;
}
