// Files that commands make: always new ones.
import { existsSync, statSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { Mistake } from './arguments';

/** @throws Mistake if a file of that name cannot be made. */
export function checkNew(option: string, file: string): void {
  const folder = dirname(file);
  if (!existsSync(folder) || !statSync(folder).isDirectory())
    throw new Mistake(`${option} ${file}: there is no such folder; name a file in an existing folder.`);
  if (existsSync(file))
    throw new Mistake(`${option} ${file}: this file already exists; name a new one or delete it first.`);
}

/** Writes a file that is not there yet. @throws Mistake */
export function writeNew(option: string, file: string, text: string | Uint8Array): void {
  try {
    writeFileSync(file, text, { flag: 'wx' });
  } catch (error) {
    throw new Mistake(
      `${option} ${file}: the file cannot be written (${(error as NodeJS.ErrnoException).code}).`,
    );
  }
}
