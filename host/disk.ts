// Making sure that what was written is on the disk.
import { closeSync, fsyncSync, openSync, rmSync, writeFileSync } from 'node:fs';

/** Writes a file to the disk, or a folder's list of names. @throws Error if it cannot be opened or written. */
export function syncPath(path: string): void {
  const handle = openSync(path, 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/**
 * Writes a file that only its owner may read to the disk, whole, in place of what an interrupted write may have left there.
 * @throws Error if it cannot be written; nothing is left of it then
 */
export function writePrivate(path: string, text: string): void {
  rmSync(path, { force: true });
  const handle = openSync(path, 'wx', 0o600);
  try {
    writeFileSync(handle, text);
    fsyncSync(handle);
  } catch (error) {
    rmSync(path, { force: true });
    throw error;
  } finally {
    closeSync(handle);
  }
}
