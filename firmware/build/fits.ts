// Whether a program fits on a board: plain arithmetic on the board's data. Storage follows src/jsflash.c of
// the interpreter, 2v29; memory follows docs/engine.md.
import type { Board } from '../board/board';
import { Limit } from '../contract/limits';
import type { NamedBoard } from './boards';

/** Most memory cells in use per kB of minified program run from flash, measured on 13-byte cells: docs/engine.md. */
const CELLS_PER_KB = 43;
/** The interpreter's own cells, and what a trace briefly adds to the peak (docs/engine.md). */
const INTERPRETER_CELLS = 77;
const TRACE_CELLS = 185;
/**
 * Most bytes that two years of 16 luminaires take: a journal file must hold them (docs/journal.md "Two
 * years").
 */
const TWO_YEARS_BYTES = 180_000;
/** File header in storage, 32 bytes, and the most that alignment may take. */
const FILE_BYTES = 64;
/** Longest configuration, `np.cfg`. */
const CONFIG_BYTES = 1536;

export interface Fit {
  /** Bytes needed of the board's storage. */
  storageBytes: number;
  /** Most variables needed. */
  variables: number;
  /** One sentence for each number that falls short; empty when the program fits. */
  shortfalls: string[];
}

/** Most memory cells a minified program of this size is expected to need, its state included. */
export function estimatedCells(minifiedBytes: number): number {
  return Math.ceil((minifiedBytes * CELLS_PER_KB) / 1000);
}

/**
 * Bytes of the file `np.dat` on a board, made when it is commissioned: what is left of its first page, then two
 * places each for settings and plan, and two journal files, all in whole pages.
 */
export function dataBytes({ flash }: Board): number {
  const saved = Math.ceil(Limit.SavedBytes / flash.pageBytes) * flash.pageBytes;
  return flash.pageBytes - Limit.StorageHeaderBytes + 4 * saved + 2 * flash.journalBytes;
}

/** Bytes of all files together; when a program or configuration is replaced, its old one is still there. */
function storageNeeded(board: NamedBoard, programBytes: number): number {
  const files = [dataBytes(board), programBytes, programBytes, CONFIG_BYTES, CONFIG_BYTES];
  return files.reduce((sum, bytes) => sum + bytes + FILE_BYTES, 0);
}

function number(value: number): string {
  return value.toLocaleString('en');
}

/** Sentence for when `needed` is more than `present`. */
function shortfall(needed: number, present: number, sentence: (missing: string) => string): string[] {
  return needed > present ? [sentence(number(needed - present))] : [];
}

/** Compares a board's numbers with what a minified program of `programBytes` needs there. */
export function fits(board: NamedBoard, programBytes: number): Fit {
  const { flash, variables } = board;
  const storageBytes = storageNeeded(board, programBytes);
  const cells = estimatedCells(programBytes) + INTERPRETER_CELLS + TRACE_CELLS;
  const shortfalls = [
    ...shortfall(
      storageBytes,
      flash.storageBytes,
      (missing) =>
        `Board "${board.name}" has ${number(flash.storageBytes)} bytes of storage, but program and configuration, ` +
        `old and new, settings, plan and two journal files of ${number(flash.journalBytes)} take ${number(storageBytes)}: ` +
        `${missing} too few.`,
    ),
    ...shortfall(
      TWO_YEARS_BYTES,
      flash.journalBytes,
      (missing) =>
        `Board "${board.name}" has journal files of ${number(flash.journalBytes)} bytes, but two years of ` +
        `16 luminaires take ${number(TWO_YEARS_BYTES)}: ${missing} too few.`,
    ),
    ...shortfall(
      cells,
      variables.count,
      (missing) =>
        `Board "${board.name}" has ${number(variables.count)} variables, but the program takes up to ` +
        `${number(cells)}: ${missing} too few.`,
    ),
  ];
  return { storageBytes, variables: cells, shortfalls };
}

const COLUMNS = [10, 21, 18, 12];

function row(...cells: string[]): string {
  return cells
    .map((cell, i) => cell.padEnd(COLUMNS[i] ?? 0))
    .join('')
    .trimEnd();
}

/**
 * Need and budget of each board in a line of its own, then a sentence for each number that falls short.
 * @param bytesOf bytes of a board's minified program
 */
export function budgetTable(boards: NamedBoard[], bytesOf: (board: NamedBoard) => number): string {
  const lines = [row('board', 'storage, bytes', 'variables', 'program', 'fits')];
  const sentences: string[] = [];
  for (const board of boards) {
    const bytes = bytesOf(board);
    const { storageBytes, variables, shortfalls } = fits(board, bytes);
    const storage = `${storageBytes} of ${board.flash.storageBytes}`;
    const memory = `${variables} of ${board.variables.count}`;
    lines.push(row(board.name, storage, memory, `${bytes}`, shortfalls.length === 0 ? 'yes' : 'no'));
    sentences.push(...shortfalls);
  }
  return [...lines, ...sentences].join('\n');
}
