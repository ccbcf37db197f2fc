// The arithmetic of what a board can hold, on the available boards and on boards with one number too small.
import { expect, it } from 'vitest';
import { loadBoard, loadBoards, type NamedBoard } from '../../../firmware/build/boards';
import { estimatedCells, fits } from '../../../firmware/build/fits';

const PROGRAM_BYTES = 45_000;
const esp32 = await loadBoard('esp32');

function changed(change: Partial<NamedBoard>): NamedBoard {
  return { ...esp32, name: 'changed', ...change };
}

it('adds up every file that can be in storage at once', () => {
  const saved = 4096 + 12;
  const sum = PROGRAM_BYTES + 1024 + 2 * 196_608 + 4 * saved + 8 * 64;
  expect(fits(esp32, PROGRAM_BYTES)).toEqual({
    storageBytes: sum,
    variables: estimatedCells(PROGRAM_BYTES) + 77 + 185,
    shortfalls: [],
  });
});

it('fills storage to the last byte, and says how much is missing for one more', () => {
  const { storageBytes } = fits(esp32, PROGRAM_BYTES);
  const flash = (bytes: number) => changed({ flash: { ...esp32.flash, storageBytes: bytes } });
  expect(fits(flash(storageBytes), PROGRAM_BYTES).shortfalls).toEqual([]);
  expect(fits(flash(storageBytes - 1), PROGRAM_BYTES).shortfalls).toEqual([
    'Board "changed" has 456,183 bytes of storage, but program, configuration, settings, plan and two journal ' +
      'files of 196,608 take 456,184: 1 too few.',
  ]);
});

it('does not pass a board because its journal holds less than two years', () => {
  const board = changed({ flash: { ...esp32.flash, journalBytes: 16_384 } });
  expect(fits(board, PROGRAM_BYTES).shortfalls).toEqual([
    'Board "changed" has journal files of 16,384 bytes, but two years of 16 luminaires take 180,000: 163,616 too few.',
  ]);
});

it('counts compaction among the variables where the stack has no room for a page or its size is unknown', () => {
  const plain = fits(esp32, PROGRAM_BYTES).variables;
  const page = Math.ceil((4096 + 64) / 14) + 1;
  expect(fits(changed({ stackBytes: 4400 }), PROGRAM_BYTES).variables).toBe(plain + page);
  expect(fits(changed({ stackBytes: undefined }), PROGRAM_BYTES).variables).toBe(plain + page);
  const small = changed({ stackBytes: undefined, variables: { count: plain, bytes: 14 } });
  expect(fits(small, PROGRAM_BYTES).shortfalls).toEqual([
    'Board "changed" has 2,917 variables, but the program takes up to 3,216, 299 of them to compact the storage: ' +
      '299 too few.',
  ]);
});

it('refuses only the board whose storage is a single sector of 64 kB', async () => {
  const short = (await loadBoards()).flatMap((board) => fits(board, PROGRAM_BYTES).shortfalls);
  expect(short).toEqual([
    'Board "stm32f4" has 65,536 bytes of storage, but program, configuration, settings, plan and two journal ' +
      'files of 196,608 take 456,184: 390,648 too few.',
  ]);
});
