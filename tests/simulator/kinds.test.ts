// Longer kinds of test and the walk-round on modelled batteries, over the wire.
import { describe, expect, it } from 'vitest';
import { OrderKind, Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import type { ResultRecord } from '../../firmware/contract/messages';
import { Estate, type EstateOptions, HOURS, WINDOW, WINDOW_MS } from './estate';

const RULES = {
  slots: [{ start: WINDOW.start - 40_000, end: WINDOW.end }],
  cycle: 1,
  residue: 0,
  noon: 43_200,
  fallbackFrom: 3600,
  fallbackSec: 18_000,
  planUntil: WINDOW.end + 86_400 * 300,
  briefSec: 65,
  ratedSec: 3600,
  rechargeSec: 86_400,
  briefRechargeSec: 3600,
};

function estate(kind: TestKind, rules: object, more: Partial<EstateOptions> = {}): Estate {
  const slots = [[1, kind, WINDOW.start, WINDOW.end]];
  return new Estate({ slots, noise: true, spec: { rules: { ...RULES, ...rules } }, ...more });
}

const result = (e: Estate): ResultRecord => {
  expect(e.watch.violations).toEqual([]);
  expect(e.of('result')).toHaveLength(1);
  return e.of('result')[0] as ResultRecord;
};

describe('on modelled batteries', () => {
  it('a limited test takes two thirds and leaves sound lamps lit', () => {
    const r = result(estate(TestKind.Limited, {}).run(WINDOW_MS + HOURS(1)));
    expect([r.type, r.end, r.seconds]).toEqual([TestKind.Limited, Reason.Complete, 2400]);
    expect(r.lamps.every((lamp) => lamp[0] === Verdict.Pass)).toBe(true);
  });

  it('a commissioning test starts after the first charge and fails a battery that only just lasts its rated duration', () => {
    const timing = { firstChargeSec: 57_600, commissionSec: 4800 };
    const slots = [[1, TestKind.Commissioning, WINDOW.start - 40_000, WINDOW.end]];
    const faults = [{ kind: 'aged battery' as const, luminaire: 'l1', at: 0, lastsMs: HOURS(1.1) }];
    const spec = { faults, rules: { ...RULES, ...timing } };
    const e = new Estate({ slots, settings: timing, spec }).run(WINDOW_MS);
    const r = result(e);
    expect(r.lamps.map((lamp) => lamp[0])).toEqual([1, 2, 1, 1]);
    expect(Math.abs(r.lamps[1][2] - 3960)).toBeLessThanOrEqual(1);
    expect(r.seconds).toBe(4800);
  });

  it("a walk-round ordered by an engineer extends the test started in the engineer's window", () => {
    const e = estate(TestKind.None, { extensionSec: 300 }).run(WINDOW_MS + 60_000);
    e.order(OrderKind.Test, TestKind.Brief);
    e.run(WINDOW_MS + 90_000);
    e.order(OrderKind.Extend, 300);
    e.run(WINDOW_MS + 95_000);
    e.order(OrderKind.Extend, 600);
    e.run(WINDOW_MS + 600_000);
    expect(e.replies.map((r) => r.reason)).toEqual([Reason.None, Reason.None, Reason.OutOfBounds]);
    expect(result(e).seconds).toBe(365);
  });
});
