// Append-only journal over two flash files used in turn. An entry is "\n#" + length (4 hex) + CRC-32 (8 hex)
// + record text; the marker cannot occur inside a record, so a torn entry costs only itself. Every entry is
// read back before it counts. Format 1.

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
}

/** Called for every intact record found at start-up, oldest first. */
export type RecordVisitor = (text: string) => void;

/** Name of a journal's file, 0 or 1. */
export function fileName(file: number): string {
  return 'np.j' + file;
}

function hex4(value: number): string {
  return ('000' + value.toString(16)).slice(-4);
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
function headerText(j: Journal): string {
  return (
    '{"format":1,"journal":"' +
    (j.id + '","generation":' + j.generation) +
    (',"before":' + j.last + ',"prev":"' + j.prev + '"}')
  );
}

/** Text of the intact entry at `offset`, or '' if there is none. */
function readEntry(j: Journal, file: number, offset: number): string {
  const head = j.flash.read(fileName(file), offset, HEAD_BYTES);
  if (head.length < HEAD_BYTES || head.substring(0, 2) !== MARK) return '';
  const length = parseInt(head.substring(2, 6), 16);
  if (!(length > 0 && length <= Limit.RecordBytes)) return '';
  const text = j.flash.read(fileName(file), offset + HEAD_BYTES, length);
  return text.length === length && crcHex(text) === head.substring(6, 14) ? text : '';
}

/** Offset of the next marker at or after `offset`, or -1: skips a torn entry. */
function nextMark(j: Journal, file: number, offset: number): number {
  const size = j.flash.size(fileName(file));
  while (offset < size) {
    const chunk = j.flash.read(fileName(file), offset, 256);
    const at = chunk.indexOf(MARK);
    if (at >= 0) return offset + at;
    if (chunk.length < 256) return -1;
    offset += 255;
  }
  return -1;
}

/** End of the written part: the byte after the last one that is not erased. */
function writtenEnd(j: Journal, file: number, offset: number): number {
  const size = j.flash.size(fileName(file));
  let blank = String.fromCharCode(ERASED);
  while (blank.length < 256) blank += blank;
  let end = offset;
  while (offset < size) {
    const chunk = j.flash.read(fileName(file), offset, 256);
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
      j.last = intField(text, 'seq', j.last);
      j.prev = chainHash(j.key.sha256, text);
      visit(text);
      offset = at + HEAD_BYTES + text.length;
    }
    at = nextMark(j, file, text === '' ? at + 2 : offset);
  }
  return writtenEnd(j, file, offset);
}

function openFile(j: Journal, file: number): boolean {
  const header = headerText(j);
  const entry = entryHead(header) + header;
  if (!j.flash.create(fileName(file), entry, j.fileBytes)) return false;
  // A failed erase leaves the old header intact.
  if (readEntry(j, file, 0) !== header) return false;
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
  j.acked = 0;
  if (olderHeader !== '') scanFile(j, older, visit);
  j.olderLast = olderHeader !== '' ? j.last : 0;
  j.file = newer;
  j.generation = generationOf(j, newer);
  j.offset = scanFile(j, newer, visit);
}

/** Sends again from the oldest record kept; the log book knows which ones it has. */
function rewind(j: Journal): void {
  const older = 1 - j.file;
  const hasOlder = j.olderLast > 0 || generationOf(j, older) > 0;
  j.sendFile = hasOlder ? older : j.file;
  const header = readEntry(j, j.sendFile, 0);
  j.sendOffset = HEAD_BYTES + header.length;
  j.sendSeq = intField(header, 'before', 0) + 1;
}

/**
 * Opens the journal found in flash, or creates one named `freshId`.
 * @returns undefined when the flash can be neither read nor written.
 */
export function mountJournal(
  flash: FlashPort,
  key: SigningKey,
  address: string,
  fileBytes: number,
  freshId: string,
  visit: RecordVisitor,
): Journal | undefined {
  const j: Journal = {
    flash: flash,
    key: key,
    address: address,
    fileBytes: fileBytes,
    id: freshId,
    file: 0,
    generation: 1,
    offset: 0,
    last: 0,
    prev: NO_CHAIN,
    acked: 0,
    olderLast: 0,
    sendSeq: 1,
    sendFile: 0,
    sendOffset: 0,
  };
  const a = generationOf(j, 0);
  const b = generationOf(j, 1);
  if (a > 0 || b > 0) restoreFrom(j, a > b ? 1 : 0, visit);
  else if (!openFile(j, 0)) return undefined;
  rewind(j);
  return j;
}

function isOlderFree(j: Journal): boolean {
  return j.acked >= j.olderLast;
}

/** Whether there is room for an intent, its result and a fault record. */
export function hasRoom(j: Journal): boolean {
  return isOlderFree(j) || j.fileBytes - j.offset >= Limit.JournalReserveBytes;
}

/** Erases the other file and switches to it; only when the log book has everything in it. */
function turnFile(j: Journal): boolean {
  if (!isOlderFree(j)) return false;
  const sending = j.sendFile === j.file;
  const full = j.file;
  const next = 1 - full;
  j.generation++;
  if (!openFile(j, next)) return false;
  j.olderLast = j.last;
  // Whatever was sent from the erased file is in the log book; continue in the one just filled.
  if (!sending) {
    j.sendFile = full;
    const header = readEntry(j, full, 0);
    j.sendOffset = HEAD_BYTES + header.length;
    j.sendSeq = intField(header, 'before', 0) + 1;
  }
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
  if (!j.flash.append(fileName(j.file), at, entryHead(text), text)) return false;
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

function skipToNextFile(j: Journal): boolean {
  if (j.sendFile === j.file) return false;
  j.sendFile = j.file;
  j.sendOffset = HEAD_BYTES + readEntry(j, j.file, 0).length;
  return true;
}

/** The next record to send, or '' when all are sent; `sentRecord` steps past it. */
export function nextToSend(j: Journal): string {
  while (j.sendSeq <= j.last) {
    const at = nextMark(j, j.sendFile, j.sendOffset);
    if (at < 0) {
      if (!skipToNextFile(j)) return '';
    } else {
      const text = readEntry(j, j.sendFile, at);
      if (text === '') j.sendOffset = at + 2;
      else {
        j.sendOffset = at;
        j.sendSeq = intField(text, 'seq', j.sendSeq);
        if (j.sendSeq > j.acked) return text;
        sentRecord(j, text);
      }
    }
  }
  return '';
}

/** Sends everything unacknowledged again, oldest first: after a reconnect or a silent log book. */
export function resend(j: Journal): void {
  if (j.acked < j.last) rewind(j);
}
