import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../../firmware/contract/codes';
import { Calendar, type Span } from '../../../../host/planner/nights/calendar';
import { DRAWN } from '../smallSite';

const HOUR = 3600;
const night = { night: 1, start: 600, end: 600 + 5 * HOUR, followUp: true };
const NONE = Number.POSITIVE_INFINITY;

function calendar(atOnce: number, staggerSec = 600): Calendar {
  return new Calendar({ atOnce, staggerSec });
}

function put(on: Calendar, start: number, lengthSec: number): void {
  on.add(night, TestKind.Full, { start, end: start + lengthSec });
}

describe('a night shared by several circuits', () => {
  it('has room for one test after another when one circuit may be open at once', () => {
    const on = calendar(1);
    put(on, night.start, 2 * HOUR);
    expect(on.firstFrom(night, night.start, 2 * HOUR)).toBe(night.start + 2 * HOUR);
    put(on, night.start + 2 * HOUR, 2 * HOUR);
    expect(on.firstFrom(night, night.start, HOUR)).toBe(night.start + 4 * HOUR);
    expect(on.firstFrom(night, night.start, HOUR + 1)).toBe(NONE);
  });

  it('keeps the time between two starts, before and after', () => {
    const on = calendar(4);
    put(on, night.start + HOUR, HOUR);
    expect(on.firstFrom(night, night.start + HOUR - 300, 600)).toBe(night.start + HOUR + 600);
    expect(on.lastBy(night, night.start + HOUR + 300, 600)).toBe(night.start + HOUR - 600);
  });

  it('counts its tests, and frees the slot of one that is given up', () => {
    const on = calendar(2);
    const slot = { start: night.start, end: night.end };
    put(on, night.start + HOUR, HOUR);
    expect(on.load(night)).toEqual({ tests: 1, longs: 1 });
    expect(on.fix(night, slot)).toBe(true);
    expect(on.firstFrom(night, night.start + HOUR, HOUR)).toBe(night.start + 2 * HOUR);
    expect(on.load(night)).toEqual({ tests: 2, longs: 1 });
    on.free(night, slot);
    expect(on.firstFrom(night, night.start, 600)).toBe(night.start);
    expect(on.load(night)).toEqual({ tests: 1, longs: 1 });
  });

  it('frees a slot that is given up after the night was full', () => {
    const on = calendar(1);
    const slot = { start: night.start, end: night.start + HOUR };
    expect(on.fix(night, slot)).toBe(true);
    expect(on.firstFrom(night, night.start, HOUR)).toBe(night.start + HOUR);
    on.free(night, slot);
    put(on, night.start + 2 * HOUR, HOUR);
    expect(on.firstFrom(night, night.start, HOUR)).toBe(night.start);
    expect(on.firstFrom(night, night.start + HOUR + 60, HOUR)).toBe(night.start + 3 * HOUR);
  });

  it('finds the free start nearest to any wish, as trying every minute does', () => {
    const slot = fc.record({ from: fc.nat(299), minutes: fc.integer({ min: 5, max: 120 }) });
    fc.assert(
      fc.property(
        fc.array(slot, { maxLength: 8 }),
        fc.constantFrom(60, 90, 600),
        fc.integer({ min: 1, max: 3 }),
        fc.nat(300),
        fc.integer({ min: 5, max: 200 }),
        (slots, stagger, atOnce, wish, minutes) => {
          const on = calendar(atOnce, stagger);
          const taken: Span[] = [];
          for (const [i, { from, minutes: long }] of slots.entries()) {
            const start = night.start + from * 60;
            const span = { start, end: Math.min(night.end, start + long * 60) };
            // Half of them are kept as announced slots are, which the caps may refuse.
            if (i % 2 === 0 ? !on.fix(night, span) : !isFree(span, taken, atOnce, stagger)) continue;
            if (i % 2 === 1) on.add(night, TestKind.Brief, span);
            taken.push(span);
          }
          const free = Array.from({ length: 601 }, (_, k) => night.start + k * 30).filter((start) =>
            isFree({ start, end: start + minutes * 60 }, taken, atOnce, stagger),
          );
          const at = night.start + wish * 60;
          const whole = free.filter((start) => stagger === 90 || (start - night.start) % 60 === 0);
          const after = whole.filter((start) => start >= at);
          const before = whole.filter((start) => start <= at);
          const isEmpty = taken.length === 0;
          if (isEmpty) fc.pre(stagger !== 90);
          expect(on.firstFrom(night, at, minutes * 60)).toBe(after[0] ?? NONE);
          expect(on.lastBy(night, at, minutes * 60)).toBe(before[before.length - 1] ?? -NONE);
          if (on.surelyHolds(night, minutes * 60)) expect(free).not.toEqual([]);
        },
      ),
      { ...DRAWN, numRuns: 300 },
    );
  });
});

/** Whether a slot may be added, second by second where it matters. */
function isFree(slot: Span, taken: Span[], atOnce: number, stagger: number): boolean {
  if (slot.end > night.end || taken.some(({ start }) => Math.abs(start - slot.start) < stagger)) return false;
  const openAt = (utc: number) => taken.filter(({ start, end }) => start <= utc && utc < end).length;
  return [slot.start, ...taken.map(({ start }) => start)].every(
    (utc) => utc < slot.start || utc >= slot.end || openAt(utc) < atOnce,
  );
}
