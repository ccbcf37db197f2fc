import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readRow, useOwnRows } from '../../firmware/contract/fields';
import { readRowQuickly } from '../../simulator/rows';
import { runs } from '../support/depth';

// A simulator loaded before brings its own.
useOwnRows(undefined);

/** What the controller's own way and the quick one make of a row; of one refused only that it is. */
function both(text: string, from: number, end: number, width: number) {
  return [readRow, readRowQuickly].map((read) => {
    const rows = new Uint32Array(3 * width);
    const next = read(text, from, end, width, rows, 1);
    return next < 0 ? next : [next, ...rows];
  });
}

const ODD = [
  '0',
  '00',
  '01',
  '4294967295',
  '4294967296',
  '42949672950',
  '99999999999',
  '',
  ' 1',
  '1 ',
  '-1',
  '1.0',
  '1e3',
];
const number = fc.oneof(
  { weight: 9, arbitrary: fc.integer({ min: 0, max: 4_294_967_295 }).map(String) },
  { weight: 1, arbitrary: fc.constantFrom(...ODD, '\u0661') },
);
const row = fc.array(number, { minLength: 1, maxLength: 3 }).map((numbers) => `${numbers.join(',')};`);
const text = fc.oneof(
  fc.array(row, { maxLength: 4 }).map((rows) => rows.join('')),
  fc.array(fc.constantFrom(...'0123456789,;;- .x\n'), { maxLength: 20 }).map((all) => all.join('')),
);

describe('a row read quickly', () => {
  it('is read or refused as the controller reads or refuses it, wherever it stands', () => {
    let taken = 0;
    const cut = fc.oneof(fc.constant(0), fc.nat({ max: 9 }));
    fc.assert(
      fc.property(text, fc.nat({ max: 9 }), cut, fc.integer({ min: 1, max: 3 }), (t, from, short, width) => {
        const end = Math.max(0, t.length - short);
        for (const at of [0, t.indexOf(';') + 1, Math.min(from, t.length)]) {
          const [own, quick] = both(t, at, end, width);
          expect(quick).toEqual(own);
          if (Array.isArray(own)) taken++;
        }
      }),
      { numRuns: runs(3000) },
    );
    expect(taken).toBeGreaterThan(runs(3000) / 20);
  });

  it('may hold the largest number, and one above it is refused', () => {
    expect(both('4294967295,7;', 0, 13, 2)).toEqual([
      [13, 0, 0, 4_294_967_295, 7, 0, 0],
      [13, 0, 0, 4_294_967_295, 7, 0, 0],
    ]);
    expect(both('4294967296,7;', 0, 13, 2)).toEqual([-1, -1]);
  });
});
