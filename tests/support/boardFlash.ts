// The board's own flash file over a given Storage, started anew as often as wanted.
import { readFileSync } from 'node:fs';
import ts from 'typescript';
import * as bytes from '../../firmware/contract/bytes';
import * as limits from '../../firmware/contract/limits';
import * as crc32 from '../../firmware/journal/crc32';
import type { FlashPort } from '../../firmware/ports';

export interface BoardFlash {
  boardFlash: FlashPort;
  setUpFlash(bytes: number, storageAt: number): void;
  countJournal(): number;
}

const SOURCE = new URL('../../firmware/board/flash.ts', import.meta.url);
const { outputText } = ts.transpileModule(readFileSync(SOURCE, 'utf8'), {
  compilerOptions: { module: ts.ModuleKind.CommonJS, target: ts.ScriptTarget.ES5 },
});
const program = new Function('require', 'exports', 'E', outputText);
const E = { toString: (bytes: Uint8Array) => Buffer.from(bytes).toString('latin1') };

/** What the program has after a start: its variables as at the first, and whatever is in flash. */
export function startBoardFlash(modules: { Storage: object; Flash: object }): BoardFlash {
  const exports = {};
  const own = { '../contract/bytes': bytes, '../contract/limits': limits, '../journal/crc32': crc32 };
  const all: { [name: string]: object } = { ...modules, ...own };
  program((name: string) => all[name], exports, E);
  return exports as BoardFlash;
}
