// The arithmetic of what a board can hold, on the available boards and on boards with one number too small.
import { expect, it } from 'vitest';
import { loadBoard, loadBoards, type NamedBoard } from '../../../firmware/build/boards';
import { dataBytes, estimatedCells, fits } from '../../../firmware/build/fits';

const PROGRAM_BYTES = 45_000;
const esp32 = await loadBoard('esp32');

function changed(change: Partial<NamedBoard>): NamedBoard {
  return { ...esp32, name: 'changed', ...change };
}

it('adds up every file that can be in storage at once', () => {
  const data = 4096 - 32 + 4 * 4096 + 2 * 196_608;
  expect(dataBytes(esp32)).toBe(data);
  expect(fits(esp32, PROGRAM_BYTES)).toEqual({
    storageBytes: data + 2 * PROGRAM_BYTES + 2 * 1536 + 5 * 64,
    variables: estimatedCells(PROGRAM_BYTES) + 77 + 185,
    shortfalls: [],
  });
});

it('fills storage to the last byte, and says how much is missing for one more', () => {
  const { storageBytes } = fits(esp32, PROGRAM_BYTES);
  const flash = (bytes: number) => changed({ flash: { ...esp32.flash, storageBytes: bytes } });
  expect(fits(flash(storageBytes), PROGRAM_BYTES).shortfalls).toEqual([]);
  expect(fits(flash(storageBytes - 1), PROGRAM_BYTES).shortfalls).toEqual([
    'Board "changed" has 507,055 bytes of storage, but program and configuration, old and new, settings, plan ' +
      'and two journal files of 196,608 take 507,056: 1 too few.',
  ]);
});

it('does not pass a board because its journal holds less than two years', () => {
  const board = changed({ flash: { ...esp32.flash, journalBytes: 16_384 } });
  expect(fits(board, PROGRAM_BYTES).shortfalls).toEqual([
    'Board "changed" has journal files of 16,384 bytes, but two years of 16 luminaires take 180,000: 163,616 too few.',
  ]);
});

it('refuses only the board whose storage is a single sector of 64 kB', async () => {
  const short = (await loadBoards()).flatMap((board) => fits(board, PROGRAM_BYTES).shortfalls);
  expect(short).toEqual([
    'Board "stm32f4" has 65,536 bytes of storage, but program and configuration, old and new, settings, plan ' +
      'and two journal files of 196,608 take 814,256: 748,720 too few.',
  ]);
});
