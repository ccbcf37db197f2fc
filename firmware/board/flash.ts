// The journal's files and the two saved texts on the interpreter's Storage. Its writes are not atomic and
// replacing a file is not safe, so files are pre-allocated and appended to by offset, and a saved text is
// written under its other name and checked before the old one is erased.
import { crcHex, useOwnCrc } from '../journal/crc32';
import type { FlashPort } from '../ports';

const SAVED_HEAD = 12;
/** Storage overhead per file, bytes. */
const FILE_OVERHEAD = 64;

let journalBytes = 0;

export function setUpFlash(bytes: number): void {
  journalBytes = bytes;
  // Use the interpreter's own where it has one: character by character, a long plan would outlast the
  // watchdog.
  const crc = E.CRC32;
  if (crc !== undefined && crc('123456789') === 0xcbf43926) useOwnCrc(crc);
}

function exists(file: string): boolean {
  return require('Storage').read(file, 0, 1) !== undefined;
}

function size(file: string): number {
  return exists(file) ? journalBytes : 0;
}

/**
 * The only place that compacts: with the supply healthy, when the journal switches files, about once a year.
 */
function create(file: string, first: string, bytes: number): boolean {
  const storage = require('Storage');
  try {
    if (exists(file)) storage.erase(file);
    if (storage.getFree() < bytes + FILE_OVERHEAD) storage.compact();
    return storage.write(file, first, 0, bytes);
  } catch (_error) {
    return false;
  }
}

function append(file: string, offset: number, head: string, text: string): boolean {
  const storage = require('Storage');
  try {
    return storage.write(file, head, offset) && storage.write(file, text, offset + head.length);
  } catch (_error) {
    return false;
  }
}

function read(file: string, offset: number, length: number): string {
  const text = require('Storage').read(file, offset, length);
  return text === undefined ? '' : text;
}

/** A saved text without its header. It stays in flash and takes no memory. */
function rest(name: string): string {
  const text = require('Storage').read(name, SAVED_HEAD);
  return text === undefined ? '' : text;
}

/** Number of a saved text, or 0 when it is absent or damaged: 4 hex digits of count, 8 of CRC, the text. */
function savedCount(name: string): number {
  const head = read(name, 0, SAVED_HEAD);
  const text = head.length === SAVED_HEAD ? rest(name) : '';
  return text !== '' && crcHex(text) === head.substring(4) ? parseInt(head.substring(0, 4), 16) : 0;
}

function newestSaved(name: string): string {
  return savedCount(name + '.a') >= savedCount(name + '.b') ? name + '.a' : name + '.b';
}

function save(name: string, text: string): boolean {
  const storage = require('Storage');
  const old = newestSaved(name);
  const next = old === name + '.a' ? name + '.b' : name + '.a';
  const count = savedCount(old) + 1;
  try {
    storage.erase(next);
    // In two parts, to avoid a second copy of a long text.
    const head = ('000' + count.toString(16)).slice(-4) + crcHex(text);
    if (!storage.write(next, head, 0, SAVED_HEAD + text.length)) return false;
    if (!storage.write(next, text, SAVED_HEAD)) return false;
    if (savedCount(next) !== count) return false;
    storage.erase(old);
    return true;
  } catch (_error) {
    return false;
  }
}

function load(name: string): string {
  const newest = newestSaved(name);
  return savedCount(newest) === 0 ? '' : rest(newest);
}

export const boardFlash: FlashPort = {
  size: size,
  create: create,
  append: append,
  read: read,
  save: save,
  load: load,
};
