// Making sure that what was written is on the disk.
import { closeSync, fsyncSync, openSync } from 'node:fs';

/** Writes a file to the disk, or a folder's list of names. @throws Error if it cannot be opened or written. */
export function syncPath(path: string): void {
  const handle = openSync(path, 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}
