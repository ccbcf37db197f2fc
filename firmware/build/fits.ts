// Whether a program fits on a board: plain arithmetic on the board's data. Storage follows src/jsflash.c of
// the interpreter, 2v29; memory follows docs/engine.md.
import { Limit } from '../contract/limits';
import type { NamedBoard } from './boards';

/** Most memory cells in use per kB of minified program run from flash, measured on 13-byte cells. */
const CELLS_PER_KB = 59;
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
const CONFIG_BYTES = 1024;
/** Count and checksum in front of a saved text (firmware/board/flash.ts). */
const SAVED_HEAD_BYTES = 12;
/** Stack that the interpreter keeps free when it compacts its storage (jsfBankCompact). */
const COMPACTION_STACK_BYTES = 256;

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

/** Bytes of all files together: old and new settings or plan exist side by side while they are replaced. */
function storageNeeded(board: NamedBoard, programBytes: number): number {
  const saved = Limit.PacketBytes + SAVED_HEAD_BYTES;
  const files = [
    programBytes,
    CONFIG_BYTES,
    ...[board.flash.journalBytes, board.flash.journalBytes],
    ...[saved, saved, saved, saved],
  ];
  return files.reduce((sum, bytes) => sum + bytes + FILE_BYTES, 0);
}

/**
 * Variables that compaction takes: it copies a page, or all files if that is less, onto the stack; if the
 * stack has no room, or its size is unknown, into contiguous variables.
 */
function compactionVariables(board: NamedBoard, filesBytes: number): number {
  const { flash, stackBytes, variables } = board;
  const buffer = Math.min(filesBytes, flash.pageBytes + FILE_BYTES);
  return buffer + COMPACTION_STACK_BYTES < (stackBytes ?? 0) ? 0 : Math.ceil(buffer / variables.bytes) + 1;
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
  const compaction = compactionVariables(board, storageBytes);
  const cells = estimatedCells(programBytes) + INTERPRETER_CELLS + TRACE_CELLS + compaction;
  const shortfalls = [
    ...shortfall(
      storageBytes,
      flash.storageBytes,
      (missing) =>
        `Board "${board.name}" has ${number(flash.storageBytes)} bytes of storage, but program, configuration, ` +
        `settings, plan and two journal files of ${number(flash.journalBytes)} take ${number(storageBytes)}: ` +
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
        `${number(cells)}${compaction > 0 ? `, ${number(compaction)} of them to compact the storage` : ''}: ` +
        `${missing} too few.`,
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
