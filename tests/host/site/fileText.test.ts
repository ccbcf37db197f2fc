// Files that are no site file at all.
import { closeSync, ftruncateSync, mkdtempSync, openSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { SITE_BYTES_MAX } from '../../../host/site/fileText';
import { formatMistake, loadSite } from '../../../host/site/load';
import { SMALL } from './small';

const folder = mkdtempSync(join(tmpdir(), 'nightproof-file-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const file = join(folder, 'mill.yaml');
const write = (bytes: Buffer | string) => writeFileSync(file, bytes);

/** A file of this many bytes, all 0, that takes no room. */
function large(bytes: number): void {
  write('');
  const handle = openSync(file, 'r+');
  ftruncateSync(handle, bytes);
  closeSync(handle);
}

function told(path: string): string[] {
  const result = loadSite(path);
  return 'mistakes' in result ? result.mistakes.map(formatMistake) : [];
}

const EXAMPLE = 'write the path of a site file, e.g. docs/examples/museum-of-tides.yaml.';
const UTF16 = Buffer.from(`\uFEFF${SMALL}`, 'utf16le');

describe('a file that is no site file', () => {
  it.each<[string, () => void, string]>([
    [
      'a spreadsheet',
      () => write('PK\x03\x04\x14\0'),
      ': this is a packed file, such as a spreadsheet; make a site file of its table with `nightproof import`.',
    ],
    ['UTF-16', () => write(UTF16), ': the text is in UTF-16; save it as UTF-8.'],
    [
      'UTF-16 the other way round',
      () => write(Buffer.from(UTF16).swap16()),
      ': the text is in UTF-16; save it as UTF-8.',
    ],
    ['UTF-16 without its mark', () => write(UTF16.subarray(2)), ': the text is in UTF-16; save it as UTF-8.'],
    [
      'a program',
      () => write('\x7fELF\x02\x01\x01\0\0\0'),
      ': this is not text: it has bytes with the value 0.',
    ],
    [
      'Windows-1252',
      () => write(Buffer.from(SMALL.replace('A Miller', 'A M\u00fcller'), 'latin1')),
      ':4: the text is not in UTF-8, but perhaps in Windows-1252; save it as UTF-8.',
    ],
    [
      'nothing',
      () => write(''),
      ':1: must be a site with id, name, timeZone, testWindows, floors, areas and circuits, but is empty.',
    ],
    ['36 MB', () => large(36e6), `: the file is larger than 32 MB; ${EXAMPLE}`],
  ])('is told in one sentence: %s', (_, make, sentence) => {
    make();
    expect(told(file)).toEqual([`${file}${sentence}`]);
  });

  it('is told in one sentence where there is none, or a folder', () => {
    expect(told(join(folder, 'none.yaml'))).toEqual([
      `${join(folder, 'none.yaml')}: there is no such file; ${EXAMPLE}`,
    ]);
    expect(told(folder)).toEqual([`${folder}: this is a folder; ${EXAMPLE}`]);
  });
});

it('a site file may begin with a byte order mark, and be as large as the limit', () => {
  write(`\uFEFF${SMALL}`);
  expect(loadSite(file)).toHaveProperty('site');
  large(SITE_BYTES_MAX);
  expect(told(file)).toEqual([`${file}: this is not text: it has bytes with the value 0.`]);
});
