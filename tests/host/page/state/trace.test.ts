import { expect, test } from 'vitest';
import type { LiveReading } from '../../../../host/api/views';
import { extendTrace, type Trace } from '../../../../host/page/state/trace';

const reading = (t: number, number = 1): LiveReading => ({
  circuit: 'a',
  test: number,
  kind: 'full',
  t,
  ma: [t],
  verdict: ['open'],
});

test('three hours of fast readings stay in bounded memory and span the whole test', () => {
  let trace: Trace | undefined;
  for (let t = 0; t <= 10_800; t++) trace = extendTrace(trace, reading(t));
  expect(trace?.t.length).toBeGreaterThan(100);
  expect(trace?.t.length).toBeLessThanOrEqual(240);
  expect(trace?.t[0]).toBe(0);
  expect(trace?.t.at(-1)).toBeGreaterThan(10_600);
  expect(trace?.ma.map((row) => row[0])).toEqual(trace?.t);
});

test('a new test starts a new curve', () => {
  const old = extendTrace(extendTrace(undefined, reading(1)), reading(2));
  expect(extendTrace(old, reading(0, 2))).toEqual({ test: 2, t: [0], ma: [[0]], gap: 0 });
});

test('the same reading received twice is kept once', () => {
  const trace = extendTrace(undefined, reading(5));
  expect(extendTrace(trace, reading(5))).toBe(trace);
});
