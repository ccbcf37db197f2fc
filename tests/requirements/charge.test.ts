// Requirements on charging after a test, where the circuit's charging current is measured. Status marks:
// V1 read in primary text or an authority's page, V2 secondary restatement, M from memory, CP common
// practice without source.
import { describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import type { ChargeRecord, SettingsMessage } from '../../firmware/contract/messages';
import type { FaultSpec } from '../../simulator/faults';
import { circuitChargeMilliamps } from '../../simulator/plant/circuit';
import { type Estate, HOURS, START_MS, WINDOW_MS } from '../simulator/estate';
import { circuit, DAY_MS, happens, onlyResult, results, runTo, slot, toDark, verdicts } from './rig';

/**
 * All inputs and the charge sensor fitted; the four chargers together give 242 mA right after a full test.
 */
const SENSOR = { fitted: 31, chargeMilliamps: 242 };
const DEAD: FaultSpec = { kind: 'circuit charger dead', at: WINDOW_MS };

function watched(kind: TestKind, faults: FaultSpec[] = [], more: Partial<SettingsMessage> = {}): Estate {
  return circuit(kind, { settings: { ...SENSOR, ...more }, spec: { faults } });
}

const charge = (e: Estate): ChargeRecord[] => e.of('charge') as ChargeRecord[];
/** UTC second of a simulated instant. */
const utc = (ms: number): number => (START_MS + ms) / 1000;

/** Simulated ms at which the supply was back after the test in the window. */
function backAt(e: Estate): number {
  runTo(toDark(e), () => e.node.plant.supplied, WINDOW_MS + HOURS(4));
  return e.node.plant.suppliedChangedAt;
}

describe('charging after a test', () => {
  it('R04 chargers that do not start charging are reported within 65 s of the supply coming back, after any test (EN 50172:2004, 7.2, V2)', () => {
    for (const kind of [TestKind.Brief, TestKind.Full, TestKind.Limited]) {
      const e = watched(kind, [DEAD]);
      const back = backAt(e);
      e.run(back + 70_000);
      const [record] = charge(e);
      expect([record.reason, record.arg, record.test]).toEqual([Reason.NoCharge, 0, 1]);
      expect(record.utc - utc(back)).toBeLessThanOrEqual(65);
      // The lamps stayed lit as they should, so none is blamed.
      expect(results(e)[0].lamps.every((row) => row[0] === Verdict.Pass)).toBe(true);
    }
  });

  it('R06 after the yearly test the charging current is followed over the whole recharge and recorded as a profile (EN 50172:2004, 7.2 annual, V2)', () => {
    const e = watched(TestKind.Full);
    const back = backAt(e);
    const truth: number[] = [];
    for (let look = 0; look <= 36; look++) {
      const at = back + (look === 0 ? 60_000 : look * 2_400_000);
      e.run(at);
      truth.push((circuitChargeMilliamps(e.node.plant, at) * 100) / 242);
    }
    e.run(back + DAY_MS + HOURS(1));
    const [record] = charge(e);
    expect([record.reason, record.step, record.curve.length]).toEqual([Reason.None, 2400, 37]);
    expect(Math.abs(record.arg - 242)).toBeLessThanOrEqual(3);
    expect(truth[0]).toBeGreaterThan(95);
    expect(truth[36]).toBeLessThan(20);
    // The recorded profile falls when the true current does.
    const steps = [...record.curve].map((c) => c.charCodeAt(0));
    for (let i = 1; i < steps.length; i++)
      if (truth[i] < truth[i - 1] - 4) expect(steps[i], `look ${i}`).not.toBe(steps[i - 1]);
    expect(onlyResult(e).end).toBe(Reason.Complete);
  });

  it('R06 a missing charging current after it is reported, and the next test shows the batteries empty (EN 50172:2004, 7.2 annual, V2)', () => {
    const slots = [slot(1, TestKind.Full), slot(2, TestKind.Full, 2)];
    const e = circuit(TestKind.Full, { slots, settings: SENSOR, spec: { faults: [DEAD] } });
    e.run(WINDOW_MS + 2 * DAY_MS + HOURS(3));
    expect(charge(e)[0].reason).toBe(Reason.NoCharge);
    expect(results(e)[1].lamps.every((row) => row[0] !== Verdict.Pass)).toBe(true);
  });

  it('R07 the recovery period is recorded: when the current had fallen to a half and to float (Ontario Fire Code 2.7.3.3(4), V1; shares CP)', () => {
    const e = watched(TestKind.Full);
    const back = backAt(e);
    e.run(back + 60_000);
    const first = circuitChargeMilliamps(e.node.plant, e.fleet.now);
    const fallen = (percent: number): number => {
      while (circuitChargeMilliamps(e.node.plant, e.fleet.now) * 100 > percent * first)
        e.run(e.fleet.now + 300_000);
      return (e.fleet.now - back) / 1000;
    };
    const [half, float] = [fallen(50), fallen(20)];
    e.run(back + DAY_MS + HOURS(1));
    const [record] = charge(e);
    // Readings are 2,400 s apart; the curve is recorded in steps of 2 %.
    expect(Math.abs(record.half - half)).toBeLessThanOrEqual(2 * 2400);
    expect(Math.abs(record.float - float)).toBeLessThanOrEqual(2 * 2400);
    expect(record.half).toBeLessThan(record.float);
  });

  it('R07 a recovery longer than the recharge time is reported (Ontario Fire Code 2.7.3.3(4), V1)', () => {
    const e = watched(TestKind.Full, [], { rechargeSec: 36_000 });
    e.node.spec.rules.rechargeSec = 36_000;
    e.run(WINDOW_MS + HOURS(20));
    expect(charge(e).map((r) => [r.reason, r.float])).toEqual([[Reason.SlowRecharge, -1]]);
  });

  it('R07 an outage ends the watch without a verdict on the chargers (Ontario Fire Code 2.7.3.3(4), V1)', () => {
    const e = happens(watched(TestKind.Full), 'outages', WINDOW_MS + HOURS(5), 600);
    e.run(WINDOW_MS + HOURS(30));
    expect(charge(e).map((r) => r.reason)).toEqual([Reason.None]);
    expect(charge(e)[0].curve.length).toBeLessThan(10);
  });

  it('R45 a circuit without charging current is reported after every brief test too, and one whose chargers float is not (UNI CEI 11222, V2; shares CP)', () => {
    for (const briefSec of [65, 120, 900])
      for (const [faults, told] of [
        [[], []],
        [[DEAD], [Reason.NoCharge]],
      ] as [FaultSpec[], Reason[]][]) {
        const e = watched(TestKind.Brief, faults, { briefSec });
        e.node.spec.rules.briefSec = briefSec;
        e.run(WINDOW_MS + HOURS(2));
        expect(onlyResult(e).end).toBe(Reason.Complete);
        expect(charge(e).map((r) => r.reason)).toEqual(told);
      }
  });

  it('R45 one dead charger among four hides behind the others and is found by the next full test, at its luminaire (UNI CEI 11222, V2)', () => {
    const slots = [slot(1, TestKind.Full), slot(2, TestKind.Full, 2)];
    const faults: FaultSpec[] = [{ kind: 'charger dead', luminaire: 'l2', at: WINDOW_MS }];
    const e = circuit(TestKind.Full, { slots, settings: SENSOR, spec: { faults } });
    e.run(WINDOW_MS + 2 * DAY_MS + HOURS(3));
    expect(charge(e)[0].reason).toBe(Reason.None);
    const second = results(e)[1];
    expect(verdicts(second).map(([verdict]) => verdict)).toEqual([1, 1, 2, 1]);
    expect(second.lamps[2][1]).toBe(Reason.EndedEarly);
  });

  it('R51 the charging current stands in for the pilot lights after each test, and nothing is reported about them where it is not measured (National Fire Code of Canada, V1; CP)', () => {
    const dead = watched(TestKind.Brief, [DEAD]).run(WINDOW_MS + HOURS(1));
    expect(charge(dead).map((r) => r.reason)).toEqual([Reason.NoCharge]);
    for (const blind of [{ fitted: 15 }, { chargeMilliamps: 0 }]) {
      const e = watched(TestKind.Brief, [DEAD], blind).run(WINDOW_MS + HOURS(1));
      expect([charge(e), onlyResult(e).end]).toEqual([[], Reason.Complete]);
    }
  });
});
