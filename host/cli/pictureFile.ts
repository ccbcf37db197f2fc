// The picture's file on disk.
import { closeSync, openSync, rmSync, writeFileSync } from 'node:fs';
import type { EstateYear } from '../picture/data';
import { yearPicture } from '../picture/picture';
import { Mistake } from './arguments';

function refuse(file: string, error: unknown): never {
  const { code } = error as NodeJS.ErrnoException;
  const why = code === 'ENOENT' ? 'there is no such folder' : `the file cannot be written (${code})`;
  throw new Mistake(`--svg ${file}: ${why}; name a file in an existing folder.`);
}

/**
 * Checks that the file can be written before years are simulated for it; its contents stay.
 * @throws Mistake
 */
export function tryPictureFile(file: string): void {
  try {
    closeSync(openSync(file, 'wx'));
    rmSync(file);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') refuse(file, error);
    try {
      closeSync(openSync(file, 'r+'));
    } catch (closed) {
      refuse(file, closed);
    }
  }
}

/** @throws Mistake if the file cannot be written. */
export function writePicture(file: string, years: EstateYear[]): void {
  try {
    writeFileSync(file, yearPicture(years));
  } catch (error) {
    refuse(file, error);
  }
}
