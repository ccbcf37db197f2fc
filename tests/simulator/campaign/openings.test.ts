// What the log book of a circuit reveals, tried with made-up records.
import { describe, expect, it } from 'vitest';
import { OrderKind, Reason, TestKind } from '../../../firmware/contract/codes';
import { Openings } from '../../../simulator/campaign/openings';
import { drawSite } from '../../../simulator/campaign/site';
import { ToldTime } from '../../../simulator/campaign/toldTime';
import { newBoardPlant } from '../../../simulator/plant/board';

const T = 1_800_000_000;
const PLAN = {
  from: 0,
  message: { v: 1, revision: 1, until: T + 900_000, slots: '' },
  slots: [
    { test: 1, kind: TestKind.Brief, start: T, end: T + 20_000 },
    { test: 1, kind: TestKind.Brief, start: T + 90_000, end: T + 99_000 },
  ],
};

const record = (kind: string, utc: number, more: object = {}) =>
  JSON.stringify({ boot: 1, utc, kind, ...more });
const intent = (utc: number, more: object = {}) =>
  record('intent', utc, { plan: 1, test: 1, type: TestKind.Brief, ...more });
const result = (
  utc: number,
  end: Reason,
  lamps: number[][] = [[1, 0, 90, 200, 200, 200, 0]],
  type = TestKind.Brief,
) => record('result', utc, { plan: 1, test: 1, type, end, lamps });

/** Only the settings that the log book is checked against. */
const SETTINGS = {
  ...drawSite({ seed: 1, run: 1 }).circuits[0].settings,
  ...{ limited: 0, fullDays: 300, cycle: 1, residue: 0 },
};

/** What the last of these records breaks; none before it may break anything. */
function said(...texts: string[]): string {
  const openings = new Openings([PLAN], SETTINGS);
  const answers = texts.map((text) => openings.record(text));
  expect(answers.slice(0, -1).join('')).toBe('');
  return answers[answers.length - 1];
}

describe('the log book of a circuit', () => {
  it('lets a plain test pass, and another attempt in the next window after someone ended it', () => {
    expect(said(intent(T), result(T + 90, Reason.Complete))).toBe('');
    expect(said(intent(T), result(T + 30, Reason.StopInput), intent(T + 90_000))).toBe('');
  });

  it('does not blame a controller for repeating a test that it can no longer know was done', () => {
    const done = record('result', T + 90, {
      ...{ seq: 7, plan: 1, test: 1, type: TestKind.Brief, end: Reason.Complete },
      lamps: [[1, 0, 90, 200, 200, 200, 0]],
    });
    const openings = new Openings([PLAN], SETTINGS);
    openings.record(intent(T));
    openings.record(done);
    openings.forget(6);
    expect(openings.record(intent(T + 5000))).toContain('I9 a test that was done');
    openings.record(result(T + 5090, Reason.Outage));
    openings.forget(7);
    expect(openings.record(intent(T + 9000))).toBe('');
  });

  it.each<[string, string[]]>([
    ['I4 an opening was announced before', [intent(T), intent(T + 500)]],
    [
      'I4 a result came for no opening',
      [intent(T), result(T + 90, Reason.Complete), result(T + 91, Reason.Complete)],
    ],
    ['I9 a test that was done', [intent(T), result(T + 90, Reason.Complete), intent(T + 5000)]],
    ['I5 a test that somebody had ended', [intent(T), result(T + 30, Reason.KeyHold), intent(T + 5000)]],
    [
      'I2 an opening was announced with a tester fault',
      [record('fault', T, { reason: 51 }), intent(T + 5000)],
    ],
    [
      'I2 an opening was announced during a hold',
      [record('order', T, { do: OrderKind.Hold, arg: 7200, reason: 0 }), intent(T + 5000)],
    ],
    [
      'I5 an order that ends a test',
      [
        intent(T),
        record('order', T + 9, { do: OrderKind.Restore, arg: 0, reason: 0 }),
        result(T + 90, Reason.Complete),
      ],
    ],
    [
      'I9 the fallback schedule began twice',
      [
        intent(T, { plan: 0, type: TestKind.Full, test: 20_833 }),
        result(T + 30, Reason.Outage),
        intent(T + 5000, { plan: 0, type: TestKind.Full, test: 20_833 }),
      ],
    ],
    [
      'I9 a hold of more than a day',
      [
        record('held', T, { reason: 24, arg: 200_000 }),
        record('released', T + 200_000, { reason: 24, arg: 200_000 }),
      ],
    ],
    [
      'I2 an opening was announced by a clock',
      [60, 61, 62].map((arg, i) => record('clock', T + i * 3600, { arg })).concat(intent(T + 20_000)),
    ],
    [
      'I9 the fallback schedule began a brief test where the long one was due',
      [
        intent(T, { type: TestKind.Limited }),
        result(T + 90, Reason.Complete, undefined, TestKind.Limited),
        intent(T + 30 * 86_400, { plan: 0, test: 20_000 }),
      ],
    ],
  ])('reports "%s"', (sentence, texts) => {
    expect(said(...texts)).toContain(sentence);
  });

  it('reports at the end which opening left no result, and which was never announced', () => {
    const openings = new Openings([PLAN], SETTINGS);
    openings.record(intent(T));
    expect(openings.owed(1)).toContain('left no result');
    openings.record(result(T + 90, Reason.Complete));
    expect(openings.owed(1)).toBe('');
    expect(openings.owed(2)).toContain('opened 2 times, announced 1 times');
  });
});

describe('what a controller may take the time to be', () => {
  const board = newBoardPlant();
  const HOUR = 3_600_000;

  it('is a wrong time only when it was given twice, half a minute apart, until the right one arrives again', () => {
    const time = new ToldTime();
    time.heard(0, 1000, 1);
    time.told(board, HOUR, 2000, 1);
    expect(time.offsets(board, 3000)).toEqual([0]);
    time.told(board, HOUR, 40_000, 1);
    expect(time.offsets(board, 50_000)).toEqual([0, HOUR]);
    time.heard(HOUR, 400_000, 1);
    expect(time.offsets(board, 400_001)).toEqual([HOUR]);
    time.told(board, 0, 500_000, 1);
    time.told(board, 0, 600_000, 1);
    time.heard(0, 900_000, 1);
    expect(time.offsets(board, 900_001)).toEqual([0]);
  });

  it('is the first answer after a start, and anything while its crystal is broken', () => {
    const time = new ToldTime();
    time.heard(0, 1000, 1);
    time.told(board, HOUR, 2000, 2);
    expect(time.offsets(board, 3000)).toEqual([0, HOUR]);
    const broken = { ...board, crystalFaults: [{ from: 5000, to: 6000, ppm: 5000 }] };
    expect(time.offsets(broken, 4000)).toEqual([0, HOUR]);
    expect(time.offsets(broken, 7000)).toBeUndefined();
    time.heard(0, 8000, 2);
    expect(time.offsets(broken, 9000)).toEqual([0, HOUR]);
  });
});
