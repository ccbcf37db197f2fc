// A plan coming into force, the queue of records, and which input changes make the core act at once.
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { slotsText } from '../../../firmware/contract/plan';
import { queueRecord, traceRecord } from '../../../firmware/core/records';
import { dueNow, SlotState, takePlan } from '../../../firmware/core/schedule';
import { hasNews } from '../../../firmware/core/senses';
import { Bench, START, WINDOW } from './bench';

const [Brief, Full, None] = [TestKind.Brief, TestKind.Full, TestKind.None];
const msOf = (utc: number): number => (utc - START) * 1000;

function message(rows: [number, TestKind, number, number][]) {
  const slots = slotsText(rows.map(([test, kind, start, end]) => ({ test, kind, start, end })));
  return { v: 1, revision: 7, until: START + 40 * 86_400, slots };
}

describe('a plan that comes into force', () => {
  const rows: [number, TestKind, number, number][] = [
    [1, Brief, WINDOW.from, WINDOW.to],
    [2, None, WINDOW.from + 86_400, WINDOW.to + 86_400],
    [3, Full, WINDOW.from + 2 * 86_400, WINDOW.to + 2 * 86_400],
  ];

  it('marks as past what is over when it arrives, and windows without a test, row by row', () => {
    const b = new Bench();
    const states = (utc: number, fresh: number) => {
      takePlan(b.s, message(rows), fresh, msOf(utc));
      return Array.from(b.s.slotState.subarray(0, 3));
    };
    const [Pending, Past] = [SlotState.Pending, SlotState.Past];
    expect(states(WINDOW.to, 1)).toEqual([Pending, Past, Pending]);
    expect(states(WINDOW.to + 1, 1)).toEqual([Past, Past, Pending]);
    expect(states(WINDOW.to + 1, 0)).toEqual([Pending, Past, Pending]);
  });

  it('changes nothing where its numbers are out of bounds', () => {
    const b = new Bench().plan([[1, Brief, WINDOW.from, WINDOW.to]]);
    const before = b.s.planRevision;
    expect(takePlan(b.s, { ...message(rows), revision: 0 }, 1, 0)).toBe(false);
    expect([b.s.planRevision, b.s.slotCount]).toEqual([before, 1]);
  });

  it('no longer wants a test in the second in which its slot ends', () => {
    const b = new Bench().plan([[1, Brief, WINDOW.from, WINDOW.to]]);
    const kindAt = (utc: number) => dueNow(b.s, msOf(utc)).kind;
    expect([kindAt(WINDOW.to - 1), kindAt(WINDOW.to)]).toEqual([Brief, None]);
  });
});

describe('the queue of records', () => {
  it('drops new records when it is full', () => {
    const { s } = new Bench();
    s.outCount = 0;
    for (let i = 0; i <= Limit.QueuedRecords; i++) queueRecord(s, `record ${i}`);
    expect(s.outCount).toBe(Limit.QueuedRecords);
    expect(s.out[Limit.QueuedRecords - 1]).toBe(`record ${Limit.QueuedRecords - 1}`);
    expect(s.out.slice(Limit.QueuedRecords).filter(Boolean)).toEqual([]);
  });
});

describe('a part of a trace', () => {
  it('is a record with its number, the room left and its text', () => {
    const b = new Bench();
    const head = `"boot":1,"utc":${START + 5},"clock":2,"kind":"trace"`;
    expect(traceRecord(b.s, 3, 120, '250s67 ', 5000)).toBe(`${head},"part":3,"left":120,"text":"250s67 "`);
  });
});

describe('an input', () => {
  it.each(['supplyA', 'supplyB', 'aux', 'occupied', 'stop', 'key'] as const)(
    'is news when %s changes',
    (name) => {
      const b = new Bench();
      b.run(5000);
      expect(hasNews(b.s)).toBe(false);
      b.s.in[name] = 1 - b.s.in[name];
      expect(hasNews(b.s)).toBe(true);
    },
  );
});
