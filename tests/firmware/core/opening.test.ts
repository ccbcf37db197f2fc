import { describe, expect, it } from 'vitest';
import { ClockTrust, OrderKind, Phase, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { takeOrder } from '../../../firmware/core/step';
import { Bench, IN_WINDOW, lampOf, START, WINDOW } from './bench';

const ONE_HOUR = 3_600_000;

/** Verdict and reason of every lamp of a result. */
function verdicts(b: Bench): number[][] {
  return b.result().lamps.map(([verdict, why]) => [verdict, why]);
}

const PASS = [Verdict.Pass, Reason.None];

describe('a test from the plan', () => {
  it('waits in its phases: starting, recharging, charged, opening, brief, restoring and back', () => {
    const b = new Bench().planned(TestKind.Brief);
    const seen: Phase[] = [b.s.phase];
    const look = () => {
      if (seen[seen.length - 1] !== b.s.phase) seen.push(b.s.phase);
      return false;
    };
    b.run(1000);
    look();
    b.run(89_000_000);
    look();
    b.run(90_000_000);
    expect(() => b.runTo(look, IN_WINDOW + 200_000)).toThrow();
    expect(seen).toEqual([
      Phase.Starting,
      Phase.Recharging,
      Phase.Charged,
      Phase.Opening,
      Phase.Brief,
      Phase.Restoring,
      Phase.Recharging,
    ]);
    expect(b.broken).toEqual([]);
  });

  it('passes every lamp of all four modes in a brief test and writes intent before result', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW + 300_000);
    expect(b.kinds()).toEqual(['start', 'intent', 'result']);
    expect(verdicts(b)).toEqual([PASS, PASS, PASS, PASS]);
    const r = b.result();
    expect([r.plan, r.test, r.type, r.end, r.seconds]).toEqual([1, 1, TestKind.Brief, Reason.Complete, 120]);
    expect(r.lamps.map((lamp) => lamp[2])).toEqual([120, 120, 120, 120]);
    expect(r.openMs).toBe(250);
    expect(r.restoreMs).toBe(250);
    expect(r.started).toBeGreaterThanOrEqual(WINDOW.from);
    expect(r.curves).toBeUndefined();
    expect(b.broken).toEqual([]);
  });

  it('passes every lamp of all four modes in a full test of the whole rated duration, with curves', () => {
    const b = new Bench().planned(TestKind.Full).run(IN_WINDOW + ONE_HOUR + 60_000);
    expect(verdicts(b)).toEqual([PASS, PASS, PASS, PASS]);
    const r = b.result();
    expect([r.type, r.end, r.seconds, r.grid]).toEqual([TestKind.Full, Reason.Complete, 3600, 10]);
    expect(r.lamps.map((lamp) => lamp[2])).toEqual([3600, 3600, 3600, 3600]);
    // A flat curve takes two points: a character for the bound and three for each.
    expect(r.curves.map((text) => text.length)).toEqual([7, 7, 7, 7]);
    expect(b.s.phase).toBe(Phase.Recharging);
    expect(b.broken).toEqual([]);
  });

  it('does not run twice once it has been completed', () => {
    const b = new Bench().planned(TestKind.Brief).run((WINDOW.to - START) * 1000 + 1000);
    expect(b.of('result')).toHaveLength(1);
    expect(b.of('overdue')).toHaveLength(0);
  });

  it('owes the brief recharge after a brief test and the whole one after a full test', () => {
    const brief = new Bench().planned(TestKind.Brief).run(IN_WINDOW + 300_000);
    const back = brief.drives[1].at;
    expect(brief.s.autonomyAt - back).toBe(3_600_000 + 250);
    const full = new Bench().planned(TestKind.Full).run(IN_WINDOW + ONE_HOUR + 60_000);
    expect(full.s.autonomyAt - full.drives[1].at).toBe(86_400_000 + 250);
  });

  it('never leaves the lease more than its life ahead, nor unrenewed while the test runs', () => {
    const b = new Bench().planned(TestKind.Full).runToDischarge();
    for (let i = 0; i < 1000; i++) {
      b.run(b.now + Limit.LoopMs);
      const left = b.s.leaseUntil - b.now;
      expect(left).toBeGreaterThan(0);
      expect(left).toBeLessThanOrEqual(Limit.LeaseMs);
    }
  });
});

describe('what ends an opening early', () => {
  const cases: [string, (b: Bench) => unknown, Reason, string[]][] = [
    ['a real outage', (b) => b.change({ mains: 0 }), Reason.Outage, ['result', 'outage']],
    ['the stop input', (b) => b.change({ stop: 1 }), Reason.StopInput, ['result']],
    ['the key', (b) => b.change({ key: 1 }), Reason.KeyHold, ['result', 'held']],
    [
      'an order to restore',
      (b) => takeOrder(b.s, OrderKind.Restore, 0, b.now),
      Reason.OrderedRestore,
      ['result', 'overdue'],
    ],
    [
      'an order to hold',
      (b) => takeOrder(b.s, OrderKind.Hold, 600, b.now),
      Reason.OrderedHold,
      ['result', 'held'],
    ],
    [
      'a contact that falls back',
      (b) => b.change({ contact: 'closed' }),
      Reason.RelayFellBack,
      ['result', 'fault'],
    ],
  ];
  it.each(cases)('%s makes the running test void at once', (_name, disturb, end, after) => {
    const b = new Bench()
      .planned(TestKind.Brief)
      .runToDischarge()
      .run(IN_WINDOW + 10_000);
    disturb(b);
    const from = b.now;
    b.run(from + 60_000);
    const released = b.drives[b.drives.length - 1];
    expect(released.open).toBe(0);
    expect(released.at - from).toBeLessThanOrEqual(Limit.DebounceMs + Limit.LoopMs);
    expect(b.result().end).toBe(end);
    expect(verdicts(b)).toEqual([0, 1, 2, 3].map(() => [Verdict.Void, end]));
    expect(b.kinds().slice(2, 2 + after.length)).toEqual(after);
    expect(b.broken).toEqual([]);
  });

  it('keeps the failure of a lamp that was judged before somebody restored the supply', () => {
    const b = new Bench().planned(TestKind.Brief);
    b.lamps[1] = lampOf(1, 0);
    b.runToDischarge().run(b.now + 20_000);
    takeOrder(b.s, OrderKind.Restore, 0, b.now);
    b.run(b.now + 10_000);
    expect(verdicts(b)[0]).toEqual([Verdict.Void, Reason.OrderedRestore]);
    expect(verdicts(b)[1]).toEqual([Verdict.Fail, Reason.NotLitAtFiveSeconds]);
  });

  it('keeps the achieved seconds of a full test that an outage cut short, and asks for a whole recharge', () => {
    const b = new Bench()
      .planned(TestKind.Full)
      .runToDischarge()
      .run(IN_WINDOW + 1_200_000);
    b.mains = 0;
    b.run(b.now + 600_000);
    expect(b.s.phase).toBe(Phase.Outage);
    b.mains = 1;
    b.run(b.now + 10_000);
    expect(b.kinds().slice(-3)).toEqual(['result', 'outage', 'supply']);
    expect(b.result().restoreMs).toBe(-1);
    expect(b.s.autonomyAt).toBeGreaterThan(b.now + 86_000_000);
    // The outage is told once the loss has settled, so up to a second later than it began.
    expect([599, 600]).toContain(b.of('supply')[0].arg);
  });

  it('takes a contact welded closed for a fault of the tester, never of a lamp', () => {
    const b = new Bench().planned(TestKind.Brief);
    b.contact = 'closed';
    b.run(IN_WINDOW + 60_000);
    expect(b.result().end).toBe(Reason.RelayStuckClosed);
    expect(verdicts(b)).toEqual([0, 1, 2, 3].map(() => [Verdict.Void, Reason.RelayStuckClosed]));
    expect([b.s.phase, b.s.reason, b.s.red]).toEqual([Phase.Fault, Reason.RelayStuckClosed, 1]);
    const [opened, released] = b.drives;
    expect(released.at - opened.at).toBeLessThanOrEqual(Limit.OpenProofMs + Limit.LoopMs);
  });

  it('raises an alarm within 5 s of a contact that stays open, repeats it, and tells the return', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    b.contact = 'open';
    b.runTo(() => b.s.phase === Phase.Restoring, b.now + 200_000);
    const released = b.drives[1].at;
    b.runTo(() => b.s.phase === Phase.Fault, released + Limit.RestoreProofMs + Limit.LoopMs);
    expect([b.s.reason, b.s.red, b.result().restoreMs]).toEqual([Reason.RelayStuckOpen, 1, -1]);
    const before = b.dirtied;
    b.run(b.now + 600_000);
    expect(b.dirtied - before).toBeGreaterThanOrEqual(10);
    expect(b.s.red).toBe(1);
    b.contact = 'follows';
    b.run(b.now + 5000);
    expect(b.of('supply')).toHaveLength(1);
    expect([b.s.phase, b.s.red]).toEqual([Phase.Fault, 1]);
    expect(takeOrder(b.s, OrderKind.ClearFault, 0, b.now)).toBe(Reason.None);
    b.run(b.now + 5000);
    expect([b.s.phase, b.s.red]).toEqual([Phase.Recharging, 0]);
    expect(b.kinds().slice(-3)).toEqual(['fault', 'supply', 'cleared']);
  });

  it('does not call the restore proven when the opening was called off before the dark had settled', () => {
    const b = new Bench({ shared: 1, emptySec: 60, fitted: 2 }).planned(TestKind.Brief);
    b.run(IN_WINDOW - 60_000).runTo(() => b.s.drive === 1, IN_WINDOW + 60_000);
    b.contact = 'open';
    b.occupied = 1;
    const released = b.now;
    b.run(released + Limit.RestoreProofMs + 500);
    expect(b.result().restoreMs).toBe(-1);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.RelayStuckOpen]);
  });

  it('voids the test when the auxiliary contact denies the opening, if one is fitted', () => {
    const fitted = new Bench({ fitted: 1 }).planned(TestKind.Brief);
    fitted.aux = 0;
    fitted.run(IN_WINDOW + 60_000);
    expect(fitted.result().end).toBe(Reason.AuxDisagrees);
    expect(fitted.s.phase).toBe(Phase.Fault);
    const absent = new Bench().planned(TestKind.Brief);
    absent.aux = 0;
    absent.run(IN_WINDOW + 300_000);
    expect(absent.result().end).toBe(Reason.Complete);
  });

  it('does not open when the intent cannot be made durable, and says it is the flash', () => {
    const b = new Bench().planned(TestKind.Brief);
    b.storable = 0;
    b.run(IN_WINDOW + 300_000);
    expect(b.drives).toEqual([]);
    expect(b.kinds()).toEqual(['start', 'fault']);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.FlashFault]);
  });

  it('does not open into a supply that went away in the same instant', () => {
    const b = new Bench().planned(TestKind.Brief);
    b.run(IN_WINDOW - 60_000).runTo(() => b.s.phase === Phase.Opening, IN_WINDOW + 60_000);
    b.run(b.now + 750);
    b.contact = 'open';
    b.run(b.now + 10_000);
    expect(b.drives).toEqual([]);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.SupplyLost]);
  });
});

describe('the reading before and between', () => {
  it('gives up a test whose readings stop for longer than the allowed gap', () => {
    const b = new Bench()
      .planned(TestKind.Full)
      .runToDischarge()
      .run(IN_WINDOW + 120_000);
    b.now += Limit.SampleGapMs + 2000;
    b.run(b.now + 10_000);
    expect(b.result().end).toBe(Reason.SampleGap);
    expect(verdicts(b)).toEqual([0, 1, 2, 3].map(() => [Verdict.Void, Reason.SampleGap]));
    expect(b.s.phase).toBe(Phase.Recharging);
  });

  it('stamps its records with the second and the trust of the clock', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW + 300_000);
    const intent = b.of('intent')[0] as unknown as { utc: number; clock: ClockTrust };
    expect(intent.clock).toBe(ClockTrust.Synchronised);
    expect(intent.utc).toBe(START + Math.floor((b.drives[0].at - 0) / 1000));
  });
});
