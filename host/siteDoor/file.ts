// The site file on the disk: read as text, and replaced so that it is always the old one or the new one, whole.
import { randomUUID } from 'node:crypto';
import {
  chmodSync,
  closeSync,
  existsSync,
  fsyncSync,
  lstatSync,
  openSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { dirname } from 'node:path';
import { syncPath } from '../disk';
import { sha256Hex } from '../keys';
import { readBytes, SITE_BYTES_MAX, utf8Text } from '../site/fileText';

/** What the text of a site file is told apart by, hex. */
export const revisionOf = (text: string): string => sha256Hex(text);

/** The text of a site file. @throws Error with one sentence */
export function readSiteText(file: string): string {
  const read = readBytes(file, SITE_BYTES_MAX, 'the site file');
  const told = 'bytes' in read ? utf8Text(read.bytes) : read;
  if ('text' in told) return told.text;
  throw new Error(`The site file ${file}: ${told.message}`);
}

/** Where the text before the last change is kept. */
const beforeOf = (file: string): string => `${file}.before`;

/** Where the text of an existing file can be kept so that nothing kept earlier is lost; a link is followed. */
export function freeBefore(file: string): string {
  const first = beforeOf(lstatSync(file).isSymbolicLink() ? realpathSync(file) : file);
  let name = first;
  for (let n = 2; existsSync(name); n++) name = `${first}-${n}`;
  return name;
}

/** The file was changed by somebody else in the last moment. */
export class EditedMeanwhile extends Error {}

function expectStill(file: string, text: string): void {
  if (readSiteText(file) !== text)
    throw new EditedMeanwhile(
      'The site file was changed meanwhile, and stays as it is now; look at it and try again.',
    );
}

/** @param ready called once all is written and nothing is replaced yet; it may throw */
function put(file: string, text: string, mode: number, ready: () => void = () => {}): void {
  const draft = `${file}.${randomUUID()}.new`;
  const handle = openSync(draft, 'wx', mode);
  try {
    try {
      writeFileSync(handle, text);
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    chmodSync(draft, mode);
    ready();
    renameSync(draft, file);
  } catch (error) {
    rmSync(draft, { force: true });
    throw error;
  }
}

const WHY: Record<string, string> = {
  ENOSPC: 'the disk is full',
  EROFS: 'the disk is read-only',
  EACCES: 'the host may not write there',
  EPERM: 'the host may not write there',
};

/** The new file is there already, so a folder that cannot be synced must not be told as "not saved". */
function syncNames(folder: string): void {
  try {
    syncPath(folder);
  } catch {
    // Whether the new name outlives a power failure is then up to the file system.
  }
}

/**
 * Replaces a site file; the old text is kept beside it. Durable on return, if the folder can be synced.
 * @param kept where; without it in place of the text kept at the last change
 * @throws Error with one sentence; the file is then the old one, or, with EditedMeanwhile, what somebody else made of it
 */
export function saveSiteText(file: string, before: string, after: string, kept?: string): void {
  try {
    // A link stays one.
    const real = realpathSync(file);
    const mode = statSync(real).mode & 0o777;
    const still = () => expectStill(real, before);
    put(kept ?? beforeOf(real), before, mode, still);
    put(real, after, mode, still);
    syncNames(dirname(real));
  } catch (error) {
    if (error instanceof EditedMeanwhile) throw error;
    const code = (error as NodeJS.ErrnoException).code ?? '';
    throw new Error(`The site file could not be written: ${WHY[code] ?? code}. It is as it was.`);
  }
}
