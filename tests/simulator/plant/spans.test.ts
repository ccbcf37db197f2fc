import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  addSpan,
  edgeAfter,
  faultEdgeAfter,
  faultEdgeUpTo,
  inForce,
  isIn,
  type Span,
} from '../../../simulator/plant/spans';

const span = fc
  .tuple(fc.integer({ min: 0, max: 60 }), fc.integer({ min: 1, max: 20 }))
  .map(([from, lasts]): Span => ({ from, to: from + lasts }));
const spans = fc.array(span, { maxLength: 8 });
const covers = (all: Span[], now: number) => all.some((s) => s.from <= now && now < s.to);

describe('spans', () => {
  it('put together cover exactly what each of them covers, sorted and apart', () => {
    fc.assert(
      fc.property(spans, (all) => {
        const joined: Span[] = [];
        for (const s of all) addSpan(joined, s);
        for (let i = 1; i < joined.length; i++) expect(joined[i].from).toBeGreaterThan(joined[i - 1].to);
        for (let now = 0; now < 90; now++) expect(isIn(joined, now)).toBe(covers(all, now));
      }),
    );
  });

  it('give the next instant at which they begin or end', () => {
    fc.assert(
      fc.property(spans, fc.integer({ min: 0, max: 90 }), (all, now) => {
        const joined: Span[] = [];
        for (const s of all) addSpan(joined, s);
        let next = Number.POSITIVE_INFINITY;
        for (let at = 90; at > now; at--) if (covers(all, at) !== covers(all, at - 1)) next = at;
        expect(edgeAfter(joined, now)).toBe(next);
      }),
    );
  });
});

describe('overlapping faults', () => {
  it('take effect by the one planted last, and give the edges on both sides of an instant', () => {
    const all = [
      { from: 10, to: 50, n: 1 },
      { from: 20, to: 30, n: 2 },
    ];
    expect([5, 10, 20, 29, 30, 50].map((now) => inForce(all, now)?.n)).toEqual([
      ...[undefined, 1, 2, 2, 1],
      undefined,
    ]);
    expect([0, 10, 20, 30, 50].map((now) => faultEdgeAfter(all, now))).toEqual([
      ...[10, 20, 30, 50],
      Number.POSITIVE_INFINITY,
    ]);
    expect([9, 10, 29, 45, 99].map((now) => faultEdgeUpTo(all, now))).toEqual([
      Number.NEGATIVE_INFINITY,
      ...[10, 20, 30, 50],
    ]);
  });
});
