import { expect, it } from 'vitest';
import { isRestLinkDue, restLinkAt, restWakeAt } from '../../simulator/rest';
import { circuit, DAY_MS } from './run/circuit';

it('says that a link at rest is due exactly from the instant on that is its turn', () => {
  const lone = circuit();
  const seen = { due: 0, not: 0 };
  const after = lone.watch.after.bind(lone.watch);
  lone.watch.after = (node, now) => {
    after(node, now);
    const c = node.controller;
    if (!c) return;
    const turn = restLinkAt(c, restWakeAt(c, now));
    for (const at of [now, turn - 1, turn].filter(Number.isFinite)) {
      // What the core answers depends on when it is asked.
      const expected = at >= restLinkAt(c, restWakeAt(c, at));
      expect(isRestLinkDue(c, at)).toBe(expected);
      seen[expected ? 'due' : 'not']++;
    }
  };
  lone.run(60 * DAY_MS);
  expect(Math.min(seen.due, seen.not)).toBeGreaterThan(50);
});
