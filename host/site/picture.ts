// The picture of a floor plan, as a file beside the site file. A picture may come from anywhere: it is looked at before
// it is shown, and shown so that nothing in it can run (host/server/floorPlans.ts).
import { statSync } from 'node:fs';
import { imageSize } from 'image-size';
import { readBytes, utf8Text } from './fileText';

/** Largest picture, bytes: a phone fetches it. */
export const PICTURE_BYTES_MAX = 8 * 1024 * 1024;
/** Most pixels of a PNG or JPEG: a phone holds them in memory, 4 bytes each. */
const PIXELS_MAX = 32_000_000;

export interface Picture {
  bytes: Buffer;
  type: 'image/svg+xml' | 'image/png' | 'image/jpeg';
}

/** A picture, or why it cannot be shown: the end of a sentence about it. */
export type Seen = { picture: Picture } | { message: string };

const A_PICTURE = 'an SVG, PNG or JPEG file of at most 8 MB';
const NONE = `this is no picture that can be shown; write the path of ${A_PICTURE}`;

const PNG = Buffer.from('89504e470d0a1a0a', 'hex');
const JPEG = Buffer.from('ffd8ff', 'hex');

/** What stands before the root of an SVG. */
const BEFORE_ROOT = /^(?:\s+|<\?.*?\?>|<!--.*?-->|<!DOCTYPE[^<>]*>)/is;
const ROOT = /^<svg(?=[\s>])(?:[^<>"']|"[^"<]*"|'[^'<]*')*>/;
const VIEW_BOX = /\sviewBox\s*=\s*["']\s*[-+.\d]/;
const size = (name: string) => new RegExp(`\\s${name}\\s*=\\s*["']\\s*[.\\d]+[a-z]*\\s*["']`);

/** What is wrong with the text of an SVG; undefined for nothing. */
function wrongSvg(text: string): string | undefined {
  if (/<!ENTITY/i.test(text))
    return 'the SVG declares entities, which may grow without end; save it as plain SVG';
  let rest = text;
  for (let before = BEFORE_ROOT.exec(rest); before; before = BEFORE_ROOT.exec(rest))
    rest = rest.slice(before[0].length);
  const root = ROOT.exec(rest)?.[0];
  if (root === undefined) return NONE;
  if (VIEW_BOX.test(root) || (size('width').test(root) && size('height').test(root))) return undefined;
  return 'the SVG does not say how wide and high it is, so nothing has a place on it; save it with a viewBox';
}

/** What is wrong with a PNG or JPEG; undefined for nothing. */
function wrongPixels(bytes: Buffer): string | undefined {
  try {
    // A copy of its own: the library reads on behind a view into a larger buffer, into whatever lies there.
    const { width, height } = imageSize(Uint8Array.from(bytes));
    // A head that is cut off reads as 0.
    if (!(width * height > 0)) return NONE;
    if (width * height <= PIXELS_MAX) return undefined;
    return `the picture has ${width} x ${height} pixels; save it with at most ${PIXELS_MAX / 1e6} million`;
  } catch {
    return NONE;
  }
}

function seen(bytes: Buffer, type: Picture['type'], wrong: string | undefined): Seen {
  return wrong === undefined ? { picture: { bytes, type } } : { message: wrong };
}

/** Looks at the bytes of a picture, whatever the name of its file says. */
export function lookAt(bytes: Buffer): Seen {
  if (bytes.subarray(0, PNG.length).equals(PNG)) return seen(bytes, 'image/png', wrongPixels(bytes));
  if (bytes.subarray(0, JPEG.length).equals(JPEG)) return seen(bytes, 'image/jpeg', wrongPixels(bytes));
  const told = utf8Text(bytes);
  if (!('text' in told)) return { message: NONE };
  return seen(bytes, 'image/svg+xml', wrongSvg(told.text));
}

/** Whether something is there that is neither a file nor a folder: a pipe, for one, might never end. */
function isOther(file: string): boolean {
  try {
    const found = statSync(file);
    return !found.isFile() && !found.isDirectory();
  } catch {
    return false;
  }
}

/** Reads a picture and looks at it. Never throws, whatever is there. */
export function readPicture(file: string): Seen {
  if (isOther(file)) return { message: NONE };
  const read = readBytes(file, PICTURE_BYTES_MAX, A_PICTURE);
  return 'bytes' in read ? lookAt(read.bytes) : { message: read.message };
}
