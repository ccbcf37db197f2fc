import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../../firmware/contract/codes';
import { Calendar, type Entry, layOut } from '../../../../host/planner/nights/calendar';

const night = { night: 1, start: 0, end: 5 * 3600, followUp: true };
const caps = (atOnce: number) => ({ atOnce, staggerSec: 600 });
const brief = (circuit: string): Entry => ({ circuit, kind: TestKind.Brief, needSec: 390 });
const full = (circuit: string): Entry => ({ circuit, kind: TestKind.Full, needSec: 11_100 });

describe('a night shared by several circuits', () => {
  it('gives each test the night from its staggered start to the end while no more share it than may be open', () => {
    expect(layOut(night, [brief('a'), brief('b')], caps(2))).toEqual([
      { start: 0, end: 18_000 },
      { start: 600, end: 18_000 },
    ]);
  });

  it('puts duration tests first and keeps the requested order in its answer', () => {
    const spans = layOut(night, [brief('a'), full('b')], caps(4))!;
    expect(spans.map((span) => span.start)).toEqual([600, 0]);
  });

  it('lets function tests take turns when the night is crowded', () => {
    const spans = layOut(night, ['a', 'b', 'c', 'd'].map(brief), caps(2))!;
    expect(spans.map((span) => [span.start, span.end])).toEqual([
      [0, 1200],
      [600, 1800],
      [1200, 18_000],
      [1800, 18_000],
    ]);
  });

  it('refuses more duration tests than may be open at once, and a function test that finds no lane', () => {
    expect(layOut(night, [full('a'), full('b')], caps(1))).toBeUndefined();
    expect(layOut(night, [full('a'), brief('b')], caps(1))).toBeUndefined();
  });

  it('refuses a duration test whose staggered start leaves too little of the night', () => {
    const short = { ...night, end: 11_400 };
    expect(layOut(short, [full('a')], caps(4))).toHaveLength(1);
    expect(layOut(short, [full('a'), full('b')], caps(4))).toBeUndefined();
  });

  it('frees the place of an entry that is removed', () => {
    const calendar = new Calendar(caps(1));
    expect(calendar.tryAdd(night, full('a'))).toBe(true);
    expect(calendar.tryAdd(night, full('b'))).toBe(false);
    expect(calendar.load(night)).toEqual({ tests: 1, longs: 1 });
    calendar.remove(night, 'a');
    expect(calendar.tryAdd(night, full('b'))).toBe(true);
    expect(calendar.spanOf(night, 'b')).toEqual({ start: 0, end: 18_000 });
  });
});
