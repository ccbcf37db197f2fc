// The journal's files and the two saved texts, in one file of the interpreter's Storage made when the board is
// commissioned. A power cut while Storage writes a file's header can make the interpreter erase everything at
// its next start, and making a file can set off a compaction. So from then on no header is ever written: bytes
// go into that file by offset, which never makes a file, and whole pages of it are erased by address.
import { hex4 } from '../contract/bytes';
import { Limit } from '../contract/limits';
import { crcHex, useOwnCrc } from '../journal/crc32';
import type { FlashPort } from '../ports';

/**
 * First byte 'A': made by commissioning as the first file of all, so that it never moves and its parts begin
 * on pages. 'U': made by this program, anywhere; its pages cannot be erased.
 */
const DATA_FILE = 'np.dat';
/** In front of a saved text: 4 hex digits of count, 4 of length, 8 of CRC. */
const SAVED_HEAD = 16;

let journalBytes = 0;
/** Bytes of a page, 0 while pages cannot be erased, and the address of the file's first byte. */
let pageBytes = 0;
let address = 0;
/** Where the parts begin, above 0: a write to offset 0 would replace the whole file. */
let base = Limit.StorageHeaderBytes;
/** Bytes of each of the two places for a saved text. */
let savedBytes = Limit.SavedBytes;
/** Next byte of a journal file to be erased. */
let erased = 0;
/** What `findSaved` found: offset, length and count of the newest text, and where the next may go. */
let savedAt = 0;
let savedLength = 0;
let savedCount = 0;
let savedEnd = 0;

function readData(offset: number, length: number): string {
  const text = length > 0 ? require('Storage').read(DATA_FILE, offset, length) : '';
  return text === undefined ? '' : text;
}

/** Never at offset 0, so it neither makes nor replaces a file. */
function writeData(offset: number, text: string): boolean {
  try {
    return require('Storage').write(DATA_FILE, text, offset);
  } catch (_error) {
    return false;
  }
}

/** Takes the pages into use if the file is the first in the storage that begins at `storageAt`. */
function findPages(storageAt: number): void {
  const flash = require('Flash');
  const page = flash.getPage(storageAt);
  if (page === undefined || E.toString(flash.read(DATA_FILE.length, storageAt + 4)) !== DATA_FILE) return;
  pageBytes = page.length;
  address = storageAt + Limit.StorageHeaderBytes;
  base = pageBytes - Limit.StorageHeaderBytes;
  savedBytes = Math.ceil(Limit.SavedBytes / pageBytes) * pageBytes;
}

/**
 * @param bytes of each journal file
 * @param storageAt address of the interpreter's storage, 0 unknown
 */
export function setUpFlash(bytes: number, storageAt: number): void {
  journalBytes = bytes;
  // Use the interpreter's own where it has one: character by character, a long plan would outlast the
  // watchdog.
  const crc = E.CRC32;
  if (crc !== undefined && crc('123456789') === 0xcbf43926) useOwnCrc(crc);
  const storage = require('Storage');
  const kind = readData(0, 1);
  if (kind === 'A' && storageAt) findPages(storageAt);
  if (kind !== '') return;
  const size = base + 4 * savedBytes + 2 * bytes;
  // Not where it would have to compact first.
  if (storage.getFree() >= size + 2 * Limit.StorageHeaderBytes) storage.write(DATA_FILE, 'U', 0, size);
}

/**
 * Marks that one more journal is begun; the marks outlive the journals.
 * @returns how many were begun before
 */
export function countJournal(): number {
  let count = 0;
  while (readData(1 + count, 1) < '\xff' && count < base - 2) count++;
  writeData(1 + count, '0');
  return count;
}

function partOf(file: string): number {
  if (file === 'np.set') return base;
  if (file === 'np.plan') return base + 2 * savedBytes;
  return base + 4 * savedBytes + (file === 'np.j1' ? journalBytes : 0);
}

function erase(file: string, bytes: number): boolean {
  const at = partOf(file);
  if (pageBytes === 0 || bytes % pageBytes > 0) return readData(at, 4) === '\xff\xff\xff\xff';
  require('Flash').erasePage(address + at + erased);
  erased += pageBytes;
  if (erased < bytes) return false;
  erased = 0;
  return true;
}

function append(file: string, offset: number, head: string, text: string): boolean {
  const at = partOf(file) + offset;
  if (offset + head.length + text.length > journalBytes || !writeData(at, head)) return false;
  return text === '' || writeData(at + head.length, text);
}

function read(file: string, offset: number, length: number): string {
  const left = journalBytes - offset;
  return readData(partOf(file) + offset, length < left ? length : left);
}

/** Texts stand one behind the other in each of the two places. */
function findSaved(name: string): void {
  savedCount = 0;
  savedEnd = 0;
  for (let place = 0; place < 2; place++) {
    const end = partOf(name) + (place + 1) * savedBytes;
    let at = end - savedBytes;
    while (at < end) {
      const head = readData(at, SAVED_HEAD);
      const count = parseInt(head.substring(0, 4), 16);
      const length = parseInt(head.substring(4, 8), 16);
      const next = at + SAVED_HEAD + length;
      if (!(length > 0 && next <= end)) break;
      if (count > savedCount && crcHex(readData(at + SAVED_HEAD, length)) === head.substring(8)) {
        savedAt = at + SAVED_HEAD;
        savedLength = length;
        savedCount = count;
        savedEnd = next;
      }
      at = next;
    }
  }
}

/** In two parts, to avoid a second copy of a long text. */
function putSaved(at: number, count: number, text: string): boolean {
  const head = hex4(count) + hex4(text.length) + crcHex(text);
  if (!writeData(at, head) || !writeData(at + SAVED_HEAD, text)) return false;
  return readData(at, SAVED_HEAD) === head && readData(at + SAVED_HEAD, text.length) === text;
}

/** Behind the newest text, or where that finds no room, in the other place, once erased. */
function save(name: string, text: string): boolean {
  const bytes = SAVED_HEAD + text.length;
  const second = partOf(name) + savedBytes;
  findSaved(name);
  const end = savedAt < second ? second : second + savedBytes;
  const count = savedCount + 1;
  if (bytes > savedBytes) return false;
  if (savedCount > 0 && savedEnd + bytes <= end && putSaved(savedEnd, count, text)) return true;
  const other = savedCount > 0 && savedAt < second ? second : second - savedBytes;
  for (let page = 0; page < savedBytes && pageBytes > 0; page += pageBytes)
    require('Flash').erasePage(address + other + page);
  return putSaved(other, count, text);
}

/** It stays in flash and takes no memory. */
function load(name: string): string {
  findSaved(name);
  return savedCount === 0 ? '' : readData(savedAt, savedLength);
}

export const boardFlash: FlashPort = {
  erase: erase,
  append: append,
  read: read,
  save: save,
  load: load,
};
