import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { EventHeap } from '../../simulator/heap';

describe('the event queue', () => {
  it('gives back what a sorted list would, by time and then by node', () => {
    const entry = fc.tuple(fc.integer({ min: 0, max: 50 }), fc.integer({ min: 0, max: 5 }));
    const action = fc.oneof({ weight: 3, arbitrary: entry }, { weight: 2, arbitrary: fc.constant(null) });
    fc.assert(
      fc.property(fc.array(action, { maxLength: 400 }), (actions) => {
        const heap = new EventHeap(2);
        let sorted: [number, number][] = [];
        for (const a of actions) {
          if (a) {
            heap.push(a[0], a[1]);
            sorted.push([a[0], a[1]]);
            sorted = sorted.sort((x, y) => x[0] - y[0] || x[1] - y[1]);
          } else if (sorted.length > 0) {
            const [time, node] = sorted.shift() as [number, number];
            expect([heap.peekTime(), heap.pop()]).toEqual([time, node]);
          }
          expect(heap.size).toBe(sorted.length);
        }
        while (sorted.length > 0) {
          const [time, node] = sorted.shift() as [number, number];
          expect([heap.peekTime(), heap.pop()]).toEqual([time, node]);
        }
        expect(heap.peekTime()).toBe(Number.POSITIVE_INFINITY);
      }),
    );
  });
});
