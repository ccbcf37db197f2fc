// A function test whose last reading never comes: it lasts a little longer, and is a plain one all the same.
import { expect, it } from 'vitest';
import { TestKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { Estate, HOURS, WINDOW, WINDOW_MS } from './estate';

/** So that the reading before the last is half a second before it. */
const BRIEF_SEC = 92;

it('a function test that waits for its last reading in vain owes only the short recharge', () => {
  // Just after the last reading was asked for.
  const at = WINDOW_MS + 96_500;
  const e = new Estate({
    slots: [[1, TestKind.Brief, WINDOW.start, WINDOW.end]],
    settings: { briefSec: BRIEF_SEC, lamps: '0,200,0,3600;' },
    spec: { bus: { baud: 115_200 }, faults: [{ kind: 'bus cut', at, repairedAt: at + 60_000 }] },
  });
  const supply: number[] = [];
  e.node.plant.onSupply = (_, now) => supply.push(now);
  // Its lamp is not proven, so it is made again as soon as the battery is recharged.
  e.run(WINDOW_MS + HOURS(2));
  expect(supply[1] - supply[0]).toBeGreaterThan(BRIEF_SEC * 1000 + Limit.SampleGapMs);
  expect([e.of('result').length, e.watch.violations]).toEqual([2, []]);
});
