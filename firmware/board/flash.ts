// The journal's files and the two saved texts on the interpreter's Storage. Its writes are not atomic and
// replacing a file is not safe, so: files are pre-allocated and appended to by offset, and a saved text
// is written under its other name and checked before the old one is erased.
import { crcHex } from '../journal/crc32';
import type { FlashPort } from '../ports';

const SAVED_HEAD = 12;
/** Bytes Storage needs beside the data of a file. */
const FILE_OVERHEAD = 64;

let journalBytes = 0;

export function setUpFlash(bytes: number): void {
  journalBytes = bytes;
}

function exists(file: string): boolean {
  return require('Storage').read(file, 0, 1) !== undefined;
}

function size(file: string): number {
  return exists(file) ? journalBytes : 0;
}

/** Compacts only here: with the supply healthy, when a journal file is turned, about once a year. */
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

function append(file: string, offset: number, text: string): boolean {
  try {
    return require('Storage').write(file, text, offset);
  } catch (_error) {
    return false;
  }
}

function read(file: string, offset: number, length: number): string {
  const text = require('Storage').read(file, offset, length);
  return text === undefined ? '' : text;
}

/** Number of a saved text, or 0 when it is absent or damaged: 4 hex digits of count, 8 of CRC, the text. */
function savedCount(name: string): number {
  const text = require('Storage').read(name);
  if (text === undefined || text.length <= SAVED_HEAD) return 0;
  const isWhole = crcHex(text.substring(SAVED_HEAD)) === text.substring(4, SAVED_HEAD);
  return isWhole ? parseInt(text.substring(0, 4), 16) : 0;
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
    if (!storage.write(next, ('000' + count.toString(16)).slice(-4) + crcHex(text) + text)) return false;
    if (savedCount(next) !== count) return false;
    storage.erase(old);
    return true;
  } catch (_error) {
    return false;
  }
}

function load(name: string): string {
  const newest = newestSaved(name);
  if (savedCount(newest) === 0) return '';
  const text = require('Storage').read(newest);
  return text === undefined ? '' : text.substring(SAVED_HEAD);
}

export const boardFlash: FlashPort = {
  size: size,
  create: create,
  append: append,
  read: read,
  save: save,
  load: load,
};
