// Disks that fail, for a program with a log book: faulty.c between it and the C library, compiled here.
import { execFileSync } from 'node:child_process';
import {
  closeSync,
  existsSync,
  mkdtempSync,
  openSync,
  readFileSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/**
 * full, refused: writes that fail with ENOSPC or EIO after half of them; torn: the machine stops in the middle of
 * one; killed: the program ends before a write or a sync; unreadable: reads that fail; unsynced: fsync fails;
 * none: nothing but what is cut off.
 */
export type DiskFault = 'full' | 'refused' | 'torn' | 'killed' | 'unreadable' | 'unsynced' | 'none';

const SOURCE = '#root/host/rehearse/disk/faulty.c';
/** Layout of a note in faulty.c, and what a disk writes at once, bytes. */
const PATH_BYTES = 512;
const NOTE_BYTES = PATH_BYTES + 16;
const SECTOR_BYTES = 512;

let library: string | undefined;

/**
 * Compiles the disk, once; Linux only.
 * @throws Error with one sentence where it cannot be compiled
 */
export function compiledDisk(): string {
  if (library !== undefined) return library;
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-disk-'));
  process.once('exit', () => rmSync(folder, { recursive: true, force: true }));
  const file = join(folder, 'faulty.so');
  try {
    const source = createRequire(import.meta.url).resolve(SOURCE);
    const flags = ['-O2', '-Wall', '-shared', '-fPIC', '-o', file, source, '-ldl'];
    execFileSync('gcc', flags, { stdio: ['ignore', 'ignore', 'pipe'] });
  } catch (error) {
    const why = (error as Error).message.split('\n')[0];
    throw new Error(
      `The failing disk cannot be compiled (${why}): it needs Linux, gcc and a clone of the repository.`,
    );
  }
  library = file;
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

/**
 * Environment of a program on such a disk.
 * @param disk the disk compiled, if another process has done it
 */
export function onDisk({ undo, ...fault }: DiskPlan, disk = compiledDisk()): NodeJS.ProcessEnv {
  rmSync(undo, { force: true });
  const notes = { DISK_UNDO: undo, DISK_FAILED: failedFile(undo) };
  return { ...process.env, ...faultWords(fault), ...notes, LD_PRELOAD: disk };
}

/** What a program puts into its own environment for its disk to fail from now on; calls are counted from `plan`. */
export function faultWords(
  { fault, after, calls }: Omit<DiskPlan, 'undo'>,
  plan = 0,
): { [name: string]: string } {
  return { DISK_FAULT: fault, DISK_AFTER: `${after}`, DISK_FOR: `${calls}`, DISK_PLAN: `${plan}` };
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

/** Calls of programs on this disk that have failed, since it was first used. */
export function failedCalls(undo: string): number {
  return statSync(failedFile(undo), { throwIfNoEntry: false })?.size ?? 0;
}

function failedFile(undo: string): string {
  return `${undo}.failed`;
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
