// Files that commands make: always new ones.
import { createWriteStream, existsSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Writable } from 'node:stream';
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

/** A file cannot be written; `code` says why. */
export class CannotWrite extends Mistake {
  constructor(
    option: string,
    file: string,
    readonly code: string,
    why: string,
  ) {
    super(`${option} ${file}: the file cannot be written (${why}).`);
  }
}

/** Writes a new file; half a file is taken away again. @throws CannotWrite */
export async function newStream(
  option: string,
  file: string,
  write: (out: Writable) => Promise<void>,
): Promise<void> {
  const out = createWriteStream(file, { flags: 'wx' });
  let isOurs = false;
  out.once('open', () => {
    isOurs = true;
  });
  try {
    await write(out);
  } catch (error) {
    out.destroy();
    if (isOurs) rmSync(file, { force: true });
    const { code, message } = error as NodeJS.ErrnoException;
    throw code === undefined ? error : new CannotWrite(option, file, code, message);
  }
}
