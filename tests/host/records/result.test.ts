import { expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { lineText } from '../../../firmware/contract/curve';
import type { ResultRecord } from '../../../firmware/contract/messages';
import { lampCurve, lampResult, lampResults, resultAt, resultVerdict } from '../../../host/records/result';
import { readRecord } from '../../../host/records/schema';
import { newJournal, resultFields } from '../logbook/records';

const PASS = [Verdict.Pass, Reason.None, 3600, 301, 300, 280, 4];
const FAIL = [Verdict.Fail, Reason.EndedEarly, 1800, 301, 300, 120, 4];
const VOID = [Verdict.Void, Reason.Outage, 20, 301, 0, 300, 4];

function result(lamps: number[][], more: object = {}): ResultRecord {
  const fields = resultFields(lamps, { type: TestKind.Full, ...more });
  return readRecord(newJournal('demo/a').next('result', fields)) as ResultRecord;
}

it('a row is found by name, and a missing row is undefined', () => {
  const r = result([PASS, FAIL]);
  expect(lampResult(r, 1)).toEqual({
    verdict: Verdict.Fail,
    reason: Reason.EndedEarly,
    litSec: 1800,
    milliampsAt5: 301,
    milliampsAt60: 300,
    milliampsEnd: 120,
    onMainsMilliamps: 4,
  });
  expect(lampResults(r)).toEqual([lampResult(r, 0), lampResult(r, 1)]);
  expect(lampResult(r, 2)).toBeUndefined();
});

it.each([
  ['pass', [PASS, PASS]],
  ['void', [PASS, VOID]],
  ['fail', [PASS, VOID, FAIL]],
  ['void', []],
])('the verdict on a whole test is its worst one: %s', (verdict, lamps) => {
  expect(resultVerdict(result(lamps))).toBe(verdict);
});

it('a result is dated by the start of the discharge, or by when it was written if there was none', () => {
  expect(resultAt(result([PASS]), 1_900_000_000)).toBe(1_770_000_000);
  expect(resultAt(result([VOID], { started: 0 }), 1_900_000_000)).toBe(1_900_000_000);
});

it('curves of old and new firmware come out in one form; an unreadable or missing one is left out', () => {
  const older = result([PASS, PASS], { step: 100, curves: ['oA', ''] });
  expect(lampCurve(older, 0)).toEqual({ step: 100, percent: [100, 0], bound: 1.25 });
  expect(lampCurve(older, 1)).toBeUndefined();
  const points = [100, 2 * 128 + 90];
  const newer = result([PASS, PASS], { grid: 10, curves: [lineText(points, 0, 2, 3), 'A-'] });
  expect(lampCurve(newer, 0)).toEqual({ step: 10, percent: [100, 95, 90], bound: 4.5 });
  expect(lampCurve(newer, 1)).toBeUndefined();
  expect(lampCurve(result([PASS]), 0)).toBeUndefined();
});
