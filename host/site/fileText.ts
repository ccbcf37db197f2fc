// The bytes of a file as text, or why they are none.
import { isUtf8 } from 'node:buffer';
import { closeSync, fstatSync, openSync, readSync } from 'node:fs';

/** Largest site file, bytes: 10,000 circuits are some 9 MB. */
export const SITE_BYTES_MAX = 32 * 1024 * 1024;

/** What was read, or one sentence and the line it is about; 0 where it is about the file as a whole. */
export type FileText = { bytes: Buffer } | { line: number; message: string };

/** Bytes read at a time where nobody says how many there are. */
const PIECE = 1024 * 1024;

function readUpTo(file: string, most: number): Buffer {
  const handle = openSync(file, 'r');
  try {
    const pieces: Buffer[] = [];
    // A file on a disk comes in one piece. What has no size, such as a pipe, comes in many.
    let next = Math.max(PIECE, fstatSync(handle).size);
    let size = 0;
    for (;;) {
      const piece = Buffer.allocUnsafe(Math.min(next, most + 1 - size));
      const got = readSync(handle, piece);
      if (got > 0) pieces.push(piece.subarray(0, got));
      size += got;
      next = PIECE;
      if (got === 0 || size > most) return pieces.length === 1 ? pieces[0] : Buffer.concat(pieces);
    }
  } finally {
    closeSync(handle);
  }
}

/**
 * Reads a file, whatever it is, up to `most` bytes.
 * @param what e.g. `a site file, e.g. docs/examples/museum-of-tides.yaml`, for the sentence
 */
export function readBytes(file: string, most: number, what: string): FileText {
  let bytes: Buffer;
  try {
    bytes = readUpTo(file, most);
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    const why =
      code === 'ENOENT'
        ? 'there is no such file'
        : code === 'EISDIR'
          ? 'this is a folder'
          : `the file cannot be read (${code})`;
    return { line: 0, message: `${why}; write the path of ${what}.` };
  }
  if (bytes.length <= most) return { bytes };
  const megabytes = Math.floor(most / 1024 / 1024);
  return { line: 0, message: `the file is larger than ${megabytes} MB; write the path of ${what}.` };
}

const PACKED = Buffer.from('PK\x03\x04', 'latin1');

/** Why bytes cannot be text, or which other kind of text they are; undefined for UTF-8. */
function alien(bytes: Buffer): string | undefined {
  if (bytes.subarray(0, 4).equals(PACKED))
    return 'this is a packed file, such as a spreadsheet; make a site file of its table with `nightproof import`';
  const head = bytes.subarray(0, 2).toString('hex');
  if (head === 'fffe' || head === 'feff') return 'the text is in UTF-16; save it as UTF-8';
  const nul = bytes.indexOf(0);
  if (nul === -1) return undefined;
  const isWide = bytes.length > nul + 2 && bytes[nul + 1] !== 0 && bytes[nul + 2] === 0;
  if (isWide) return 'the text is in UTF-16; save it as UTF-8';
  return 'this is not text: it has bytes with the value 0';
}

/** Line of the first byte that is no UTF-8, counted from 1. */
function badLine(bytes: Buffer): number {
  let line = 1;
  for (let at = 0; at < bytes.length; line++) {
    const end = bytes.indexOf(0x0a, at);
    if (!isUtf8(bytes.subarray(at, end === -1 ? bytes.length : end))) return line;
    at = end === -1 ? bytes.length : end + 1;
  }
  return line;
}

/** The text of bytes in UTF-8, without a byte order mark; or one sentence. */
export function utf8Text(bytes: Buffer): { text: string } | { line: number; message: string } {
  const other = alien(bytes);
  if (other) return { line: 0, message: `${other}.` };
  if (!isUtf8(bytes))
    return {
      line: badLine(bytes),
      message: 'the text is not in UTF-8, but perhaps in Windows-1252; save it as UTF-8.',
    };
  return { text: bytes.toString('utf8').replace(/^\uFEFF/, '') };
}
