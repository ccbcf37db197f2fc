import { describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import type { ChargeRecord, ResultRecord, SettingsMessage } from '../../firmware/contract/messages';
import type { FaultSpec } from '../../simulator/faults';
import { circuitChargeMilliamps } from '../../simulator/plant/circuit';
import { Estate, HOURS, WINDOW, WINDOW_MS } from './estate';

const BRIEF = [[1, TestKind.Brief, WINDOW.start, WINDOW.end]];
const FULL = [[1, TestKind.Full, WINDOW.start, WINDOW.end]];
/** Total of this estate's four chargers right after a full test, mA. */
const COMMISSIONED = 242;

function estate(
  slots: number[][],
  faults: FaultSpec[] = [],
  settings: Partial<SettingsMessage> = {},
): Estate {
  return new Estate({
    slots,
    settings: { fitted: 31, chargeMilliamps: COMMISSIONED, ...settings },
    spec: { faults },
    noise: true,
  });
}

const charge = (e: Estate): ChargeRecord[] => e.of('charge') as ChargeRecord[];

describe('the charge current of a simulated circuit', () => {
  it('falls from a twentieth of the capacity to float, and is reported as such', () => {
    const e = estate(FULL).run(WINDOW_MS + HOURS(2));
    expect(Math.abs(circuitChargeMilliamps(e.node.plant, WINDOW_MS + HOURS(2)) - COMMISSIONED)).toBeLessThan(
      3,
    );
    e.run(WINDOW_MS + HOURS(30));
    const [record] = charge(e);
    expect(record.reason).toBe(Reason.None);
    expect(record.half).toBeGreaterThan(HOURS(8) / 1000);
    expect(record.float).toBeGreaterThan(record.half);
    expect(record.float).toBeLessThan(86_400);
    expect(e.watch.violations).toEqual([]);
  });

  it('is missed when the charger of the circuit is dead', () => {
    const e = estate(FULL, [{ kind: 'circuit charger dead', at: WINDOW_MS }]).run(WINDOW_MS + HOURS(4));
    expect(charge(e).map((r) => [r.reason, r.arg])).toEqual([[Reason.NoCharge, 0]]);
  });

  it('is not missed for one dead charger of four: only the next full test finds that', () => {
    const e = estate(FULL, [{ kind: 'charger dead', luminaire: 'l1', at: WINDOW_MS }]);
    e.run(WINDOW_MS + HOURS(30));
    expect(charge(e).map((r) => r.reason)).toEqual([Reason.None]);
    expect(charge(e)[0].arg).toBeLessThan(COMMISSIONED * 0.8);
  });
});

describe('sensors of a simulated circuit', () => {
  const LAMPS = '0,200,0,3600;1,200,300,3600;2,200,300,3600;3,400,0,3600;';
  const rowsWith = (fault: FaultSpec): number[][] => {
    const e = estate(BRIEF, [fault], { lamps: LAMPS }).run(WINDOW_MS + HOURS(2));
    return (e.of('result')[0] as ResultRecord).lamps;
  };

  it('that are stuck at a lit lamp void their lamp', () => {
    const rows = rowsWith({ kind: 'sensor stuck', luminaire: 'l1', at: 0 });
    expect(rows.map((row) => row.slice(0, 2))).toEqual([
      [Verdict.Pass, Reason.None],
      [Verdict.Void, Reason.SensorStuck],
      [Verdict.Pass, Reason.None],
      [Verdict.Pass, Reason.None],
    ]);
  });

  it('that read half of a neighbour show the mean of both', () => {
    const fault: FaultSpec = { kind: 'sensor cross-talk', luminaire: 'l0', from: 'l3', at: 0, share: 0.5 };
    const rows = rowsWith(fault);
    // Just off the charger, both give 103 % of their commissioned current.
    expect(Math.abs(rows[0][4] - 309)).toBeLessThan(10);
    expect(Math.abs(rows[3][4] - 412)).toBeLessThan(10);
  });
});
