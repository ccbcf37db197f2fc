// Disks that fail, for a program with a log book: faulty.c between it and the C library, compiled here.
import { execFileSync } from 'node:child_process';
import { closeSync, existsSync, mkdtempSync, openSync, readFileSync, rmSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/**
 * full, refused: writes that fail with ENOSPC or EIO after half of them; torn: the machine stops in the middle of
 * one; unreadable: reads that fail; unsynced: fsync fails; none: nothing but what is cut off.
 */
export type DiskFault = 'full' | 'refused' | 'torn' | 'unreadable' | 'unsynced' | 'none';

const SOURCE = new URL('./faulty.c', import.meta.url).pathname;
/** Layout of a note in faulty.c, and what a disk writes at once, bytes. */
const PATH_BYTES = 512;
const NOTE_BYTES = PATH_BYTES + 16;
const SECTOR_BYTES = 512;

let library: string | undefined;

function compiled(): string {
  if (library === undefined) {
    const folder = mkdtempSync(join(tmpdir(), 'nightproof-disk-'));
    process.once('exit', () => rmSync(folder, { recursive: true, force: true }));
    library = join(folder, 'faulty.so');
    execFileSync('gcc', ['-O2', '-Wall', '-shared', '-fPIC', '-o', library, SOURCE, '-ldl']);
  }
  return library;
}

export interface DiskPlan {
  fault: DiskFault;
  /** Calls before the fault begins, and calls it lasts. */
  after: number;
  calls: number;
  /** File for what a power cut takes back. */
  undo: string;
}

/** Environment of a program on such a disk. */
export function onDisk({ fault, after, calls, undo }: DiskPlan): NodeJS.ProcessEnv {
  rmSync(undo, { force: true });
  const disk = { DISK_FAULT: fault, DISK_AFTER: `${after}`, DISK_FOR: `${calls}`, DISK_UNDO: undo };
  return { ...process.env, ...disk, LD_PRELOAD: compiled() };
}

interface Write {
  path: string;
  offset: number;
  before: Buffer;
}

/** What was written and not yet synced when the program ended, oldest first. */
function unsynced(undo: string): Write[] {
  if (!existsSync(undo)) return [];
  const bytes = readFileSync(undo);
  let writes: Write[] = [];
  for (let at = 0; at + NOTE_BYTES <= bytes.length; ) {
    const path = bytes.toString('latin1', at, at + PATH_BYTES).replace(/\0.*$/s, '');
    const offset = Number(bytes.readBigInt64LE(at + PATH_BYTES));
    const length = Number(bytes.readBigInt64LE(at + PATH_BYTES + 8));
    at += NOTE_BYTES;
    if (length < 0) writes = writes.filter((write) => write.path !== path);
    else writes.push({ path, offset, before: bytes.subarray(at, at + length) });
    at += Math.max(0, length);
  }
  return writes;
}

/**
 * Cuts the power of a program that has ended: of what was not synced, each sector is on the disk or is not.
 * @returns sectors taken back
 */
export function cutPower(undo: string, random: () => number): number {
  let lost = 0;
  for (const { path, offset, before } of unsynced(undo).reverse()) {
    if (!existsSync(path)) continue;
    const handle = openSync(path, 'r+');
    for (let from = 0; from < before.length; from += SECTOR_BYTES) {
      if (random() < 0.5) continue;
      writeSync(handle, before, from, Math.min(SECTOR_BYTES, before.length - from), offset + from);
      lost++;
    }
    closeSync(handle);
  }
  rmSync(undo, { force: true });
  return lost;
}
