import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { curvePercent, curveStep, curveText } from '../../../firmware/contract/curve';
import { intField, readRow, readRows, textField, useOwnRows } from '../../../firmware/contract/fields';
import { topicOf } from '../../../firmware/contract/topics';
import { runs } from '../../support/depth';

// A simulator loaded before brings its own.
useOwnRows(undefined);

const row = (width: number) =>
  fc.array(fc.integer({ min: 0, max: 4_294_967_295 }), { minLength: width, maxLength: width });

describe('rows of integers', () => {
  it('are read back as they were written', () => {
    fc.assert(
      fc.property(fc.array(row(4), { maxLength: 20 }), (rows) => {
        const text = rows.map((r) => `${r.join(',')};`).join('');
        const out = new Uint32Array(80);
        expect(readRows(text, 4, 20, out)).toBe(rows.length);
        expect([...out.subarray(0, 4 * rows.length)]).toEqual(rows.flat());
      }),
    );
  });

  it.each([
    ['a row too many', '1,2;3,4;5,6;'],
    ['a column too few', '1;'],
    ['a column too many', '1,2,3;'],
    ['an empty column', '1,;'],
    ['an empty row', ';'],
    ['a row that does not end', '1,2'],
    ['a half row at the end', '1,2;3,'],
    ['a minus sign', '-1,2;'],
    ['a fraction', '1.5,2;'],
    ['a space', '1, 2;'],
    ['eleven digits', '12345678901,2;'],
    ['a number above 32 bits', '4294967296,2;'],
    ['a leading zero', '01,2;'],
    ['an exponent', '1e3,2;'],
    ['a word', 'true,2;'],
    ['brackets', '[1],2;'],
    ['a closed bracket', '1,2],[3;'],
    ['a NUL byte', '1,2\0;'],
  ])('with %s are refused', (_name, text) => {
    expect(readRows(text, 2, 2, new Uint32Array(4))).toBe(-1);
  });

  it('match what a plain parser makes of them, whatever the text', () => {
    const text = fc
      .array(fc.constantFrom(...'0123456789,;;,- .x\n'), { maxLength: 40 })
      .map((all) => all.join(''));
    fc.assert(
      fc.property(fc.oneof(text, fc.string()), (t) => {
        const plain = /^((0|[1-9]\d{0,9}),(0|[1-9]\d{0,9}),(0|[1-9]\d{0,9});){0,5}$/.test(t);
        const good = plain && t.split(/[,;]/).every((n) => Number(n) < 2 ** 32);
        const out = new Uint32Array(15);
        expect(readRows(t, 3, 5, out)).toBe(good ? t.split(';').length - 1 : -1);
        const numbers = t.split(/[,;]/).slice(0, -1).map(Number);
        if (good) expect([...out.subarray(0, numbers.length)]).toEqual(numbers);
      }),
      { numRuns: runs(2000) },
    );
  });

  it('are read in place from a longer text', () => {
    const out = new Uint32Array(4);
    const text = '{"slots":"1,2;3,4;","note":"5,6;"}';
    const end = text.indexOf('"', 10);
    expect(readRow(text, 10, end, 2, out, 0)).toBe(14);
    expect(readRow(text, 14, end, 2, out, 1)).toBe(end);
    expect([...out]).toEqual([1, 2, 3, 4]);
    expect(readRow(text, 10, 13, 2, out, 0)).toBe(-1);
  });

  it('never write past the rows they have room for', () => {
    fc.assert(
      fc.property(fc.string(), fc.integer({ min: 1, max: 9 }), (t, n) => {
        const out = new Uint32Array(4 * n);
        readRows(t + '1,2,3,4;'.repeat(n + 1), 4, n, out);
        expect(out).toHaveLength(4 * n);
      }),
    );
  });
});

describe('fields of a flat text', () => {
  it('are found as JSON.parse would find them', () => {
    const value = fc.integer({ min: -2_147_483_648, max: 4_294_967_295 });
    const plain = fc.stringMatching(/^[ -!#-[\]-~]{0,30}$/);
    fc.assert(
      fc.property(value, value, plain, (a, b, text) => {
        const json = JSON.stringify({ seq: a, kind: text, end: b });
        expect([intField(json, 'seq', -7), intField(json, 'end', -7)]).toEqual([a, b]);
        expect(textField(json, 'kind')).toBe(text);
      }),
    );
  });

  it('are missing when they are absent or of another type', () => {
    expect(intField('{"seq":"5"}', 'seq', -1)).toBe(-1);
    expect(intField('{"seq":-}', 'seq', 9)).toBe(9);
    expect(intField('', 'seq', 3)).toBe(3);
    expect(textField('{"kind":5}', 'kind')).toBe('');
    expect(textField('{"kind":"open', 'kind')).toBe('');
  });
});

describe('a curve', () => {
  it('keeps each point within 1.25 % of what was measured, up to 157.5 %', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0, max: 158.7, noNaN: true }), { maxLength: 37 }), (points) => {
        const steps = points.map(curveStep);
        const back = curvePercent(curveText(steps, 0, steps.length));
        for (let i = 0; i < points.length; i++)
          expect(Math.abs(back[i] - points[i])).toBeLessThanOrEqual(1.25 + 1e-9);
      }),
    );
  });

  it('stays within its alphabet whatever comes in, and detects foreign characters', () => {
    expect([-500, -1, 1e9].map(curveStep)).toEqual([0, 0, 63]);
    expect(curvePercent('A_\u00e9')).toEqual([0, 157.5, -1]);
  });

  it('starts at the given place', () => {
    expect(curveText([0, 1, 2, 3, 4], 2, 3)).toBe('CDE');
  });
});

it('a topic names address and kind', () => {
  expect(topicOf('museum/c-1', 'order')).toBe('nightproof/museum/c-1/order');
});
