// Requirements on the brief (functional) test. Status marks: V1 read in primary text or an authority's
// page, V2 secondary restatement, M from memory, CP common practice without source.
import { describe, expect, it } from 'vitest';
import { OrderKind, Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import type { FaultSpec } from '../../simulator/faults';
import { lampMilliamps } from '../../simulator/plant/luminaire';
import { HOURS, WINDOW_MS } from '../simulator/estate';
import { circuit, lamps, onlyResult, PASS, results, runTo, supplyEdges, toDark, verdicts } from './rig';

const AFTER = WINDOW_MS + HOURS(1);

describe('the brief test', () => {
  it('R01 a brief test cuts the supply to every luminaire and keeps it off until each lamp was seen lit at 5 s and at 60 s (EN 50172:2004, 7.2 monthly, V2)', () => {
    const e = circuit(TestKind.Brief).run(WINDOW_MS);
    const edges = supplyEdges(e, WINDOW_MS + 120_000);
    expect(edges.map((edge) => edge.supplied)).toEqual([false, true]);
    expect(edges[1].at - edges[0].at).toBeGreaterThanOrEqual(65_000);
    const r = onlyResult(e);
    expect([r.type, r.end]).toEqual([TestKind.Brief, Reason.Complete]);
    expect(verdicts(r)).toEqual([PASS, PASS, PASS, PASS]);
    // The evidence: every lamp's current at both points, near the commissioned 200 mA.
    for (const [, , seconds, at5, at60] of r.lamps) {
      expect(seconds).toBe(65);
      expect(Math.min(at5, at60)).toBeGreaterThan(180);
    }
  });

  it('R01 the current recorded for 5 s and for 60 s is the one that each lamp had 5 s and 60 s after its supply went (EN 50172:2004, 7.2 monthly, V2)', () => {
    const e = circuit(TestKind.Brief, { noise: false });
    // Lamps that take more than a minute to reach their full current tell one second from the next.
    for (const [i, lamp] of lamps(e).entries())
      lamp.driver = { ...lamp.driver, runUpFrom: 0.5, runUpMs: 70_000 + 5000 * i };
    toDark(e);
    const dark = e.node.plant.suppliedChangedAt;
    const truth = [5000, 60_000].map((ms) => {
      e.run(dark + ms);
      return lamps(e).map((lamp) => lampMilliamps(lamp, dark + ms));
    });
    const r = onlyResult(e.run(AFTER));
    for (const [i, row] of r.lamps.entries()) {
      // They gain about 1.5 mA in a second.
      expect(Math.abs(row[3] - truth[0][i]), `lamp ${i} at 5 s`).toBeLessThanOrEqual(3);
      expect(Math.abs(row[4] - truth[1][i]), `lamp ${i} at 60 s`).toBeLessThanOrEqual(3);
    }
  });

  it('R01 a lamp that does not light in the simulated failure fails, and only that one (EN 50172:2004, 7.2 monthly, V2)', () => {
    for (const dead of [0, 1, 2, 3]) {
      const faults: FaultSpec[] = [{ kind: 'dead lamp', luminaire: `l${dead}`, at: WINDOW_MS - 1 }];
      const r = onlyResult(circuit(TestKind.Brief, { spec: { faults } }).run(AFTER));
      expect(r.lamps.map(([verdict]) => verdict)).toEqual(
        [0, 1, 2, 3].map((i) => (i === dead ? Verdict.Fail : Verdict.Pass)),
      );
      expect(r.lamps[dead][1]).toBe(Reason.NotLitAtFiveSeconds);
    }
  });

  it('R01 a maintained luminaire that stays on mains because it is fed by another circuit does not pass (EN 50172:2004, 7.2 monthly, V2)', () => {
    const faults: FaultSpec[] = [{ kind: 'fed from elsewhere', luminaire: 'l1', at: 0 }];
    const r = onlyResult(circuit(TestKind.Brief, { spec: { faults } }).run(AFTER));
    expect(verdicts(r)).toEqual([PASS, [Verdict.Void, Reason.StayedOnMains], PASS, PASS]);
  });

  it('R02 no brief test longer than a quarter of the rated duration is accepted or carried out (EN 50172:2004, 7.2 note, V2; CIE 193:2010 for the quarter, V1)', () => {
    const tooLong = circuit(TestKind.Brief, { settings: { briefSec: 901 } }).run(AFTER);
    expect(tooLong.state?.settings).toBe(0);
    expect(tooLong.node.plant.relay.drivenSince).toBe(0);
    expect(results(tooLong)).toEqual([]);
    const longest = circuit(TestKind.Brief, { settings: { briefSec: 900 } });
    longest.node.spec.rules.briefSec = 900;
    const r = onlyResult(longest.run(AFTER));
    expect([r.end, r.seconds]).toEqual([Reason.Complete, 900]);
  });

  it('R02 nor can an order for a walk-round extend it past that quarter (EN 50172:2004, 7.2 note, V2)', () => {
    const e = toDark(circuit(TestKind.Brief));
    e.node.spec.rules.extensionSec = 835;
    runTo(e, () => e.fleet.now > WINDOW_MS + 20_000, AFTER);
    e.order(OrderKind.Extend, 836);
    e.run(e.fleet.now + 5000);
    e.order(OrderKind.Extend, 835);
    e.run(e.fleet.now + 5000);
    e.order(OrderKind.Extend, 1);
    e.run(AFTER);
    expect(e.replies.map((r) => r.reason)).toEqual([Reason.OutOfBounds, Reason.None, Reason.OutOfBounds]);
    expect(onlyResult(e).seconds).toBe(900);
  });

  it('R03 a result holds currents and times and nothing about presence, dirt or damage, which only people can see (EN 50172:2004, 7.2 monthly, V2)', () => {
    const r = onlyResult(circuit(TestKind.Brief).run(AFTER));
    const head = ['v', 'journal', 'seq', 'boot', 'utc', 'clock', 'kind', 'prev', 'mac'];
    const body = [
      'plan',
      'test',
      'type',
      'settings',
      'started',
      'seconds',
      'end',
      'openMs',
      'restoreMs',
      'guard',
    ];
    expect(Object.keys(r).filter((field) => ![...head, ...body, 'lamps'].includes(field))).toEqual([]);
    expect(r.lamps.every((row) => row.every(Number.isInteger))).toBe(true);
  });

  it('R38 half of the commissioned current is required at 5 s and all of it at 60 s (EN 60598-2-22, V2; EN 1838, V2; current is not light)', () => {
    const e = circuit(TestKind.Brief);
    // Commissioned at five times what the lamp gives, at one and a half times, and at exactly what it gives.
    lamps(e)[0].spec.batteryMilliamps = 40;
    lamps(e)[1].spec.batteryMilliamps = 130;
    const r = results(e.run(AFTER))[0];
    expect(verdicts(r)).toEqual([
      [Verdict.Fail, Reason.SlowStart],
      [Verdict.Fail, Reason.NotFullAtSixtySeconds],
      PASS,
      PASS,
    ]);
    expect(r.lamps[0][3]).toBeLessThan(100);
    expect(r.lamps[1][3]).toBeGreaterThanOrEqual(100);
    expect(r.lamps[1][4]).toBeLessThan(140);
  });

  it('R38 a lamp that lights within 5 s passes and one that takes 6 s fails; the same for its full current and 60 s (EN 60598-2-22, V2; EN 1838, V2)', () => {
    const e = circuit(TestKind.Brief);
    const [early, late, soon, slow] = lamps(e);
    early.driver = { ...early.driver, strikeMs: 4000 };
    late.driver = { ...late.driver, strikeMs: 6000 };
    // From half of their current, in a line: at 70 % of the commissioned one after 57 s, and after 72 s, because what
    // lacks for some seconds is within the noise of a sensor.
    const passing = (seconds: number) => (0.7 / soon.driver.first - 0.5) / 0.5 / seconds;
    soon.driver = { ...soon.driver, runUpFrom: 0.5, runUpMs: 1000 / passing(57) };
    slow.driver = { ...slow.driver, runUpFrom: 0.5, runUpMs: 1000 / passing(72) };
    expect(verdicts(results(e.run(AFTER))[0])).toEqual([
      PASS,
      [Verdict.Fail, Reason.NotLitAtFiveSeconds],
      PASS,
      [Verdict.Fail, Reason.NotFullAtSixtySeconds],
    ]);
  });
});
