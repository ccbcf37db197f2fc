// Single faults of the guard board in ngspice that would go unnoticed in normal use: one of the endings of a test
// shows each, and the coil never holds by itself. A cross-section, not the whole list.
import { expect, it } from 'vitest';
import { guardBoard } from '../../../simulator/guards/board';
import { lateEndings, verdictOf } from '../../../simulator/guards/faults';
import type { Mode } from '../../../simulator/guards/models';
import { observe } from './observe';

it.each<[string, Mode, string[]]>([
  ['Q1', 'short', ['pulses stop low', 'pulses stop high']],
  ['Q2', 'short', ['enable falls']],
])(
  '%s %s is found by a test',
  async (part, mode, late) => {
    const seen = await observe(guardBoard, [{ part, mode }]);
    expect(seen.onAtRest).toBe(false);
    expect(lateEndings(seen)).toEqual(late);
    expect(verdictOf(seen)).toBe('found by a test');
  },
  600_000,
);

it('a sound board has no late ending', async () => {
  const seen = await observe(guardBoard, []);
  expect([lateEndings(seen), verdictOf(seen)]).toEqual([[], 'no effect']);
}, 600_000);
