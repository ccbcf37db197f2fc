// Append-only journal over two flash files used in turn. An entry is "\n#" + length (4 hex) + CRC-32 (8 hex)
// + record text; the marker cannot occur inside a record, so a torn entry costs only itself. Every entry is
// read back before it counts. Format 1.

import { hex4 } from '../contract/bytes';
import { intField, textField } from '../contract/fields';
import { Limit, WIRE_VERSION } from '../contract/limits';
import { chainHash, type SigningKey, sign } from '../contract/signature';
import type { FlashPort } from '../ports';
import { crcHex } from './crc32';

const MARK = '\n#';
const HEAD_BYTES = 14;
const NO_CHAIN = '00000000000000000000000000000000';
const ERASED = 0xff;

export interface Journal {
  flash: FlashPort;
  key: SigningKey;
  address: string;
  /** Bytes of each of the two files. */
  fileBytes: number;
  /** Id of this journal: 8 hex digits, drawn when it was created. */
  id: string;
  /** File being written (0 or 1), its generation, and where its free space begins. */
  file: number;
  generation: number;
  offset: number;
  /** Newest record, and the chain hash of its text. */
  last: number;
  prev: string;
  /** Newest record known to be in the log book. */
  acked: number;
  /** Newest record in the older file; that file may be erased once this is acknowledged. */
  olderLast: number;
  /** Next record to send: its number, file and offset. */
  sendSeq: number;
  sendFile: number;
  sendOffset: number;
  /** Reads that gave fewer bytes than the flash holds there. */
  unread: number;
}

/** Called for every intact record found at start-up, oldest first. */
export type RecordVisitor = (text: string) => void;

/** Name of a journal's file, 0 or 1. */
export function fileName(file: number): string {
  return 'np.j' + file;
}

/**
 * Text of the next record, not yet signed. It is extended in place and `queue` drops the body, since copies
 * are long.
 */
function unsealed(j: Journal, queue: string[]): string {
  let text = '{"v":' + WIRE_VERSION + ',"journal":"' + j.id + '","seq":' + (j.last + 1) + ',';
  text += queue[0];
  queue[0] = '';
  text += ',"prev":"' + j.prev + '"';
  return text;
}

function entryHead(text: string): string {
  return MARK + hex4(text.length) + crcHex(text);
}

/** First entry of a file: which journal, which generation, what came before. */
function headerText(j: Journal, generation: number): string {
  return (
    '{"format":1,"journal":"' +
    (j.id + '","generation":' + generation) +
    (',"before":' + j.last + ',"prev":"' + j.prev + '"}')
  );
}

/** A piece of a file; `unread` counts those that the flash did not give whole. */
function readPiece(j: Journal, file: number, offset: number, length: number): string {
  const text = j.flash.read(fileName(file), offset, length);
  const left = j.fileBytes - offset;
  if (text.length < (length < left ? length : left)) j.unread++;
  return text;
}

/** Text of the intact entry at `offset`, or '' if there is none. */
function readEntry(j: Journal, file: number, offset: number): string {
  const head = readPiece(j, file, offset, HEAD_BYTES);
  if (head.length < HEAD_BYTES || head.substring(0, 2) !== MARK) return '';
  const length = parseInt(head.substring(2, 6), 16);
  if (!(length > 0 && length <= Limit.RecordBytes)) return '';
  const text = readPiece(j, file, offset + HEAD_BYTES, length);
  return text.length === length && crcHex(text) === head.substring(6, 14) ? text : '';
}

/** Offset of the next marker at or after `offset`, or -1: skips a torn entry. */
function nextMark(j: Journal, file: number, offset: number): number {
  while (offset < j.fileBytes) {
    const chunk = readPiece(j, file, offset, 256);
    const at = chunk.indexOf(MARK);
    if (at >= 0) return offset + at;
    if (chunk.length < 256) return -1;
    offset += 255;
  }
  return -1;
}

/** End of the written part: the byte after the last one that is not erased. */
function writtenEnd(j: Journal, file: number, offset: number): number {
  let blank = String.fromCharCode(ERASED);
  while (blank.length < 256) blank += blank;
  let end = offset;
  while (offset < j.fileBytes) {
    const chunk = readPiece(j, file, offset, 256);
    // Compared as a whole first: single characters are slow on a board.
    if (chunk !== blank)
      for (let i = 0; i < chunk.length; i++) if (chunk.charCodeAt(i) !== ERASED) end = offset + i + 1;
    offset += 256;
  }
  return end;
}

/** Visits the records of one file and leaves `offset` at its free space. */
function scanFile(j: Journal, file: number, visit: RecordVisitor): number {
  let offset = HEAD_BYTES + readEntry(j, file, 0).length;
  let at = nextMark(j, file, offset);
  while (at >= 0) {
    const text = readEntry(j, file, at);
    if (text !== '') {
      const hash = chainHash(j.key.sha256, text);
      // Written twice, because the first time could not be read back: it is one record.
      if (hash !== j.prev) {
        j.last = intField(text, 'seq', j.last);
        j.prev = hash;
        visit(text);
      }
      offset = at + HEAD_BYTES + text.length;
    }
    at = nextMark(j, file, text === '' ? at + 2 : offset);
  }
  return writtenEnd(j, file, offset);
}

/** Erases a file, a part of it a call, and begins it once it is blank. */
function openFile(j: Journal, file: number): boolean {
  const header = headerText(j, j.generation + 1);
  const entry = entryHead(header) + header;
  if (!j.flash.erase(fileName(file), j.fileBytes)) return false;
  j.flash.append(fileName(file), 0, entry, '');
  // What stands there decides: a failed erase leaves the old header intact.
  if (readEntry(j, file, 0) !== header) return false;
  j.generation++;
  j.file = file;
  j.offset = entry.length;
  return true;
}

function generationOf(j: Journal, file: number): number {
  return intField(readEntry(j, file, 0), 'generation', 0);
}

function restoreFrom(j: Journal, older: number, visit: RecordVisitor): void {
  const newer = 1 - older;
  const olderHeader = readEntry(j, older, 0);
  const first = olderHeader !== '' ? olderHeader : readEntry(j, newer, 0);
  j.id = textField(first, 'journal');
  j.last = intField(first, 'before', 0);
  j.prev = textField(first, 'prev');
  // A file is erased only once the log book has all of it.
  j.acked = olderHeader !== '' ? j.last : 0;
  if (olderHeader !== '') scanFile(j, older, visit);
  j.olderLast = olderHeader !== '' ? j.last : 0;
  j.file = newer;
  const header = readEntry(j, newer, 0);
  j.generation = intField(header, 'generation', 0);
  // Records that the older file no longer gives have their numbers all the same.
  if (intField(header, 'before', 0) > j.last) {
    j.last = intField(header, 'before', 0);
    j.prev = textField(header, 'prev');
  }
  j.offset = scanFile(j, newer, visit);
}

/** Sends on from the first record of a file. */
function sendFrom(j: Journal, file: number): void {
  j.sendFile = file;
  j.sendOffset = HEAD_BYTES + readEntry(j, file, 0).length;
  // Not what the header says: one begun in vain would skip what the other file still holds.
  j.sendSeq = j.acked + 1;
}

/** Sends again from the oldest record kept; the log book knows which ones it has. */
function rewind(j: Journal): void {
  const older = 1 - j.file;
  const hasOlder = j.olderLast > 0 || generationOf(j, older) > 0;
  sendFrom(j, hasOlder ? older : j.file);
}

/** Erases and begins a journal that is not there yet. */
function begin(j: Journal): boolean {
  // One part of the file a call.
  for (let tries = 0; tries < 256; tries++) if (openFile(j, 0)) return true;
  return false;
}

/**
 * Opens the journal found in flash, or begins one named by `freshId`.
 * @returns undefined when the flash can be neither read nor written: a journal that gave only a part of itself
 * would give numbers twice.
 */
export function mountJournal(
  flash: FlashPort,
  key: SigningKey,
  address: string,
  fileBytes: number,
  freshId: () => string,
  visit: RecordVisitor,
): Journal | undefined {
  const j: Journal = {
    flash: flash,
    key: key,
    address: address,
    fileBytes: fileBytes,
    id: '',
    file: 0,
    generation: 0,
    offset: 0,
    last: 0,
    prev: NO_CHAIN,
    acked: 0,
    olderLast: 0,
    sendSeq: 1,
    sendFile: 0,
    sendOffset: 0,
    unread: 0,
  };
  const a = generationOf(j, 0);
  const b = generationOf(j, 1);
  if (a > 0 || b > 0) restoreFrom(j, a > b ? 1 : 0, visit);
  if (j.unread > 0) return undefined;
  if (j.generation === 0) {
    j.id = freshId();
    if (!begin(j)) return undefined;
  }
  rewind(j);
  return j;
}

function isOlderFree(j: Journal): boolean {
  return j.acked >= j.olderLast;
}

/** Whether there is room for an intent, its result and a fault record. */
export function hasRoom(j: Journal): boolean {
  return j.fileBytes - j.offset >= Limit.JournalReserveBytes;
}

/** Whether it is time to change files: little room is left, and the log book has all that the other holds. */
export function isTurnDue(j: Journal): boolean {
  return !hasRoom(j) && isOlderFree(j);
}

/**
 * Erases the other file, a part of it a call, and switches to it; only when the log book has everything in it.
 * @returns whether it has switched
 */
export function turnFile(j: Journal): boolean {
  if (!isOlderFree(j)) return false;
  const full = j.file;
  // Whatever was sent from the file to be erased is in the log book; continue in the one just filled.
  if (j.sendFile !== full) sendFrom(j, full);
  if (!openFile(j, 1 - full)) return false;
  j.olderLast = j.last;
  return true;
}

/**
 * Makes a record of the oldest body in `queue`, signs it, writes it and reads it back. If writing fails, its
 * text replaces the body for the next attempt.
 * @returns false when it could not be made durable; the sequence then continues unchanged.
 */
export function appendRecord(j: Journal, queue: string[]): boolean {
  if (queue[0].charAt(0) !== '{') queue[0] = sign(j.key, 'record', j.address, unsealed(j, queue));
  const text = queue[0];
  const length = HEAD_BYTES + text.length;
  if (text.length > Limit.RecordBytes) return false;
  if (j.offset + length > j.fileBytes && !turnFile(j)) return false;
  const at = j.offset;
  j.offset += length;
  // What stands in the flash decides, not what the write reports: it may have been kept all the same.
  j.flash.append(fileName(j.file), at, entryHead(text), text);
  if (readEntry(j, j.file, at) !== text) return false;
  j.last++;
  j.prev = chainHash(j.key.sha256, text);
  return true;
}

/** The log book holds everything up to `through` of this journal. @returns whether that was new. */
export function acknowledge(j: Journal, id: string, through: number): boolean {
  if (id !== j.id || through <= j.acked || through > j.last) return false;
  j.acked = through;
  return true;
}

/** Steps past the record that `nextToSend` gave, unless sending has restarted since. */
export function sentRecord(j: Journal, text: string): void {
  if (intField(text, 'seq', 0) !== j.sendSeq) return;
  j.sendOffset += HEAD_BYTES + text.length;
  j.sendSeq++;
}

/** The next record to send, or '' when all are sent; `sentRecord` steps past it. */
export function nextToSend(j: Journal): string {
  while (j.sendSeq <= j.last) {
    const unread = j.unread;
    const at = nextMark(j, j.sendFile, j.sendOffset);
    const text = at < 0 ? '' : readEntry(j, j.sendFile, at);
    // What could not be read now may be read later.
    if (j.unread !== unread) return '';
    if (at < 0) {
      if (j.sendFile === j.file) return '';
      j.sendFile = j.file;
      j.sendOffset = HEAD_BYTES + readEntry(j, j.file, 0).length;
    } else {
      const seq = intField(text, 'seq', 0);
      if (text === '') j.sendOffset = at + 2;
      // The second of two copies.
      else if (seq < j.sendSeq) j.sendOffset = at + HEAD_BYTES + text.length;
      else {
        j.sendOffset = at;
        j.sendSeq = seq;
        if (seq > j.acked) return text;
        sentRecord(j, text);
      }
    }
  }
  return '';
}

/** Sends again all that is kept, also what was acknowledged: the log book was restored from an older copy. */
export function sendAgain(j: Journal): void {
  const before = intField(readEntry(j, 1 - j.file, 0), 'before', 0);
  if (before < j.acked) j.acked = before;
  rewind(j);
}

/** Sends everything unacknowledged again, oldest first: after a reconnect or a silent log book. */
export function resend(j: Journal): void {
  if (j.acked < j.last) rewind(j);
}
