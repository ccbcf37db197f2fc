import fc from 'fast-check';
import { expect, it } from 'vitest';
import { TestKind } from '../../../../firmware/contract/codes';
import { Attempts, held } from '../../../../host/planner/placing/attempts';

it("keeps a circuit's attempts by night as a map does, whatever comes and goes", () => {
  const change = fc.record({
    place: fc.nat(12),
    kind: fc.constantFrom(TestKind.None, TestKind.Brief, TestKind.Full),
    isGone: fc.boolean(),
  });
  fc.assert(
    fc.property(fc.array(change, { maxLength: 40 }), (changes) => {
      const attempts = new Attempts();
      const map = new Map<number, ReturnType<typeof held>>();
      for (const { place, kind, isGone } of changes) {
        const attempt = held(kind);
        if (isGone) {
          attempts.delete(place);
          map.delete(place);
        } else {
          attempts.set(place, attempt);
          map.set(place, attempt);
        }
        expect(attempts.size).toBe(map.size);
        expect(attempts.places()).toEqual([...map.keys()]);
        for (let night = 0; night <= 12; night++) {
          expect(attempts.has(night)).toBe(map.has(night));
          expect(attempts.get(night)).toBe(map.get(night));
        }
      }
    }),
  );
});
