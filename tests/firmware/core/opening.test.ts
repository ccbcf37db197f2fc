// An opening at the very millisecond in which its next step falls due, and what must not pass for one.
import { describe, expect, it } from 'vitest';
import { ClockTrust, OrderKind, Phase, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { intentStored } from '../../../firmware/core/discharge';
import { Stage } from '../../../firmware/core/state';
import { step, takeOrder } from '../../../firmware/core/step';
import { BATTERY, Bench, HOUR_MS, IN_WINDOW, lampOf, opening, PASS, SHARED, START, WINDOW } from './bench';

/** Verdict and reason of every lamp of a result. */
function verdicts(b: Bench): number[][] {
  return b.result().lamps.map(([verdict, why]) => [verdict, why]);
}

/** Rated 1 h, 1 h, 30 min, 50 min. */
const MIXED = '0,200,0,3600;1,200,300,3600;2,200,300,1800;3,200,0,3000;';

/** A brief test in the turn in which its readings on mains begin. */
function looking(settings = {}): Bench {
  const b = new Bench(settings).planned(TestKind.Brief).run(IN_WINDOW - 60_000);
  return b.runTo(() => b.s.phase === Phase.Opening, IN_WINDOW);
}

/** A test that is discharging, at that instant of the discharge. */
function dischargedFor(ms: number, kind = TestKind.Full, settings = {}): Bench {
  const b = new Bench(settings).planned(kind).runToDischarge();
  return b.run(b.s.t0 + ms);
}

/** From driving the relay to open to driving it to close, ms. */
const openFor = (b: Bench): number => b.drives[1].at - b.drives[0].at;
/** Steps the core once by hand at its present instant, with the inputs it has. */
const stepAt = (b: Bench, now: number): void => step(b.s, now);

describe('a planned test', () => {
  it('passes every lamp of all four modes in a full test of the whole rated duration, with curves', () => {
    const b = new Bench().planned(TestKind.Full).run(IN_WINDOW + HOUR_MS + 60_000);
    expect(verdicts(b)).toEqual([PASS, PASS, PASS, PASS]);
    const r = b.result();
    expect([r.type, r.end, r.seconds, r.grid]).toEqual([TestKind.Full, Reason.Complete, 3600, 10]);
    expect(r.lamps.map((lamp) => lamp[2])).toEqual([3600, 3600, 3600, 3600]);
    // A flat curve takes two points: a character for the bound and three for each.
    expect(r.curves.map((text) => text.length)).toEqual([7, 7, 7, 7]);
    expect(b.s.phase).toBe(Phase.Recharging);
    expect(b.broken).toEqual([]);
  });

  it('owes the brief recharge after a function test and the whole one after a full test', () => {
    const brief = new Bench().planned(TestKind.Brief).run(IN_WINDOW + 300_000);
    const back = brief.drives[1].at;
    expect(brief.s.autonomyAt - back).toBe(3_600_000 + 250);
    const full = new Bench().planned(TestKind.Full).run(IN_WINDOW + HOUR_MS + 60_000);
    expect(full.s.autonomyAt - full.drives[1].at).toBe(86_400_000 + 250);
  });

  it('never extends the lease beyond its life, nor leaves it unrenewed while the test runs', () => {
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

  it('keeps the failure of a lamp that was judged before someone restored the supply', () => {
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
    // The outage is reported once the loss has settled, so up to a second after it began.
    expect([599, 600]).toContain(b.of('supply')[0].arg);
  });

  it('treats a contact welded closed as a tester fault, never one of a lamp', () => {
    const b = new Bench().planned(TestKind.Brief);
    b.contact = 'closed';
    b.run(IN_WINDOW + 60_000);
    expect(b.result().end).toBe(Reason.RelayStuckClosed);
    expect(verdicts(b)).toEqual([0, 1, 2, 3].map(() => [Verdict.Void, Reason.RelayStuckClosed]));
    expect([b.s.phase, b.s.reason, b.s.red]).toEqual([Phase.Fault, Reason.RelayStuckClosed, 1]);
    const [opened, released] = b.drives;
    expect(released.at - opened.at).toBeLessThanOrEqual(Limit.OpenProofMs + Limit.LoopMs);
  });

  it('raises an alarm within 5 s of a contact that stays open, repeats it, and reports the return', () => {
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

  it('does not call the restore proven when the opening was called off before the loss of supply had settled', () => {
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

  it('does not open when the intent cannot be made durable, and blames the flash', () => {
    const b = new Bench().planned(TestKind.Brief);
    b.storable = 0;
    b.run(IN_WINDOW + 300_000);
    expect(b.drives).toEqual([]);
    expect(b.kinds()).toEqual(['start', 'intent', 'result', 'fault']);
    const [result] = b.of('result');
    expect([result.end, result.openMs, result.lamps.map((lamp) => lamp[0])]).toEqual([
      ...[Reason.FlashFault, -1],
      b.of('result')[0].lamps.map(() => Verdict.Void),
    ]);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.FlashFault]);
  });

  it('does not open when the supply fails at the same instant', () => {
    const b = new Bench().planned(TestKind.Brief);
    b.run(IN_WINDOW - 60_000).runTo(() => b.s.phase === Phase.Opening, IN_WINDOW + 60_000);
    b.run(b.now + 750);
    b.contact = 'open';
    b.run(b.now + 10_000);
    expect(b.drives).toEqual([]);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.SupplyLost]);
  });
});

describe('readings before and during a test', () => {
  it('end a test in which they stop for longer than the allowed gap', () => {
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

describe('the readings on mains', () => {
  it('are four, a quarter of a second apart, and the relay opens in the turn after the fourth', () => {
    const b = looking();
    const since = b.s.phaseAt;
    b.run(since + 2000);
    expect(b.drives[0].at - since).toBe(Limit.PreSamples * Limit.SampleFastMs + Limit.LoopMs);
  });

  it('are never taken before they are due, however often an input changes', () => {
    const b = looking();
    const since = b.s.phaseAt;
    for (let ms = 10; ms < 240; ms += 10) stepAt(b, since + ms);
    expect([b.s.preCount, b.s.stage]).toEqual([0, Stage.LookingOnMains]);
    b.now = since + Limit.LoopMs;
    b.run(since + 2000);
    expect(b.drives[0].at - since).toBe(1250);
  });
});

describe('confirmation that the intent is stored', () => {
  /** The intent is made, and nothing shows yet whether the flash has stored it. */
  function announced(): { b: Bench; at: number } {
    const b = looking();
    b.run(b.s.phaseAt + 1250);
    const at = b.now;
    stepAt(b, at);
    expect([b.s.stage, b.s.outCount, b.s.drive]).toEqual([Stage.IntentWritten, 1, 0]);
    return { b, at };
  }

  it('is awaited as long as it takes, with the relay at rest', () => {
    const { b, at } = announced();
    for (let ms = 250; ms <= 10_000; ms += 250) stepAt(b, at + ms);
    expect([b.s.phase, b.s.stage, b.s.drive]).toEqual([Phase.Opening, Stage.IntentWritten, 0]);
    intentStored(b.s, 1, at + 10_000);
    expect([b.s.drive, b.s.openAt, b.s.leaseUntil]).toEqual([1, at + 10_000, at + 10_000 + Limit.LeaseMs]);
  });

  it.each([1, 0])('moves nothing (%i) once the test was called off', (ok) => {
    const { b, at } = announced();
    expect(takeOrder(b.s, OrderKind.Restore, 0, at)).toBe(Reason.None);
    intentStored(b.s, ok, at);
    expect([b.s.drive, b.s.leaseUntil, b.s.phase, b.s.kind]).toEqual([0, 0, Phase.Recharging, TestKind.None]);
  });

  it.each([1, 0])('moves nothing (%i) at rest, during the readings on mains and in the discharge', (ok) => {
    const rest = new Bench().plan([]).run(IN_WINDOW);
    intentStored(rest.s, ok, rest.now);
    expect([rest.s.drive, rest.s.phase]).toEqual([0, Phase.Charged]);
    const look = looking();
    intentStored(look.s, ok, look.now);
    expect([look.s.drive, look.s.phase, look.s.stage]).toEqual([0, Phase.Opening, Stage.LookingOnMains]);
    const burning = dischargedFor(10_000);
    const { openAt, leaseUntil } = burning.s;
    intentStored(burning.s, ok, burning.now);
    expect([burning.s.openAt, burning.s.leaseUntil, burning.s.phase]).toEqual([
      openAt,
      leaseUntil,
      Phase.Full,
    ]);
  });
});

describe('a relay that is driven to open', () => {
  it('has two whole seconds to switch off the supply, and not a turn more', () => {
    const b = opening();
    b.change({ contact: 'closed' }).run(b.now + 20_000);
    expect(openFor(b)).toBe(Limit.OpenProofMs + Limit.LoopMs);
  });

  it('that never opened leaves a result without a discharge, and a supply that never went off', () => {
    const b = opening();
    b.change({ contact: 'closed' }).run(b.now + 20_000);
    const { end, seconds, started, openMs, restoreMs } = b.result();
    expect([end, seconds, started, openMs, restoreMs]).toEqual([Reason.RelayStuckClosed, 0, 0, -1, 0]);
  });

  it.each([250, 500])(
    'that opens %i ms late, after its release, and sticks is not proven restored',
    (lateMs) => {
      const b = opening(SHARED);
      b.at(b.now + lateMs, { contact: 'open' });
      b.change({ occupied: 1, contact: 'closed' }).run(b.now + 20_000);
      expect([b.result().end, b.result().restoreMs]).toEqual([Reason.Occupied, -1]);
      expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.RelayStuckOpen]);
    },
  );

  it('stays open in the very millisecond in which the supply counts as steady again', () => {
    const b = opening();
    b.s.unsteadyUntil = b.now;
    stepAt(b, b.now);
    expect([b.s.drive, b.s.phase]).toEqual([1, Phase.Opening]);
    b.s.unsteadyUntil = b.now + 1;
    stepAt(b, b.now);
    expect([b.s.drive, b.s.phase, b.s.end]).toEqual([0, Phase.Restoring, Reason.Outage]);
  });

  it('has two whole seconds for its auxiliary contact to follow, and not a turn more', () => {
    const late = opening({ fitted: 1 });
    late.at(late.drives[0].at + 1500, { aux: undefined });
    late.change({ aux: 0 }).run(late.now + 300_000);
    expect(late.result().end).toBe(Reason.Complete);
    const never = opening({ fitted: 1 });
    never.change({ aux: 0 }).run(never.now + 300_000);
    expect(never.result().end).toBe(Reason.AuxDisagrees);
    expect(openFor(never)).toBe(Limit.OpenProofMs + Limit.LoopMs);
  });

  it('is released at the compiled-in cap, even if the durations in memory have gone wrong', () => {
    const b = new Bench().planned(TestKind.Full);
    b.s.set.ratedSec = 12_000;
    for (let i = 0; i < 4; i++) b.s.set.lamps[i * 4 + 3] = 12_000;
    b.runToDischarge();
    const cap = b.drives[0].at + Limit.OpenCapSec * 1000;
    // A change of input makes the core act at exactly these instants, not only at its next reading.
    b.at(cap - Limit.LoopMs, { occupied: 1 }).at(cap, { occupied: 0 });
    b.run(cap + 10_000);
    expect([openFor(b), b.result().end]).toEqual([Limit.OpenCapSec * 1000, Reason.Complete]);
    expect(b.broken).toEqual([]);
  });
});

describe('the readings of a discharge', () => {
  it('come four times a second until the lamps have proven full, then every 1.5 to 2 s, by turns', () => {
    const b = dischargedFor(Limit.FullPointMs);
    expect(b.s.sampleAt).toBe(b.s.t0 + Limit.FullPointMs);
    b.run(b.now + 1250);
    expect(b.s.sampleAt).toBe(b.s.t0 + Limit.FullPointMs + 1250);
    const seen = new Set<number>();
    b.run(b.now + Limit.LoopMs);
    while (b.now < b.s.t0 + 180_000) {
      b.run(b.s.sampleAt + Limit.LoopMs);
      seen.add(b.s.sampleAt - b.s.lastSampleAt);
    }
    expect([...seen].sort()).toEqual([1500, 1750, 2000]);
  });

  it('come four times a second while a lamp is dark, so that two short dips do not pass for one long one', () => {
    const b = dischargedFor(100_000);
    const dark = b.s.sampleAt - b.s.t0;
    const isDark = (ms: number) => (ms >= dark && ms < dark + 500) || (ms >= dark + 2000 && ms < dark + 2500);
    b.lamps[0] = (ms) => (ms >= 0 && !isDark(ms) ? BATTERY : 0);
    b.run(b.s.t0 + HOUR_MS + 20_000);
    expect(b.result().lamps[0].slice(0, 3)).toEqual([Verdict.Pass, Reason.None, 3600]);
  });

  it('are not taken before they are due, when nothing fresh has been read', () => {
    const b = dischargedFor(101_000);
    const { lastSampleAt, sampleAt } = b.s;
    expect(sampleAt).toBeGreaterThan(b.now + Limit.LoopMs);
    b.s.in.lamp.fill(0);
    stepAt(b, b.now + 100);
    expect([b.s.lastSampleAt, b.s.sampleAt, b.s.fall[0]]).toEqual([lastSampleAt, sampleAt, 0]);
  });

  it('may be five seconds apart, and not a millisecond more', () => {
    const b = dischargedFor(101_000);
    const last = b.s.lastSampleAt;
    stepAt(b, last + Limit.SampleGapMs);
    expect([b.s.phase, b.s.lastSampleAt]).toEqual([Phase.Full, last + Limit.SampleGapMs]);
    stepAt(b, b.s.lastSampleAt + Limit.SampleGapMs + 1);
    expect([b.s.phase, b.s.end]).toEqual([Phase.Restoring, Reason.SampleGap]);
  });

  it('continue at their pace past the end of a lamp whose sensor is at the rail just then', () => {
    const b = new Bench({ lamps: MIXED }).planned(TestKind.Full);
    const end = 1_800_000;
    b.lamps[2] = (ms) => (ms >= end && ms < end + 2300 ? Limit.RailLow : lampOf(2)(ms));
    b.runToDischarge().run(b.now + HOUR_MS + 60_000);
    expect(b.result().lamps[2].slice(0, 3)).toEqual([Verdict.Pass, Reason.None, 1800]);
  });

  it('are put off while the supply may just have returned: a lamp that is dark then has not failed', () => {
    const b = new Bench().planned(TestKind.Brief);
    b.lamps = [0, 1, 2, 3].map((mode) => lampOf(mode, Number.POSITIVE_INFINITY, 0));
    b.runToDischarge();
    const early = b.s.t0 + Limit.EarlyPointMs;
    b.at(early, { contact: 'closed' }).at(early + 250, { contact: 'follows' });
    b.run(b.now + 200_000);
    expect(b.result().end).toBe(Reason.Complete);
    expect(b.result().lamps[0].slice(0, 5)).toEqual([Verdict.Pass, Reason.None, 120, BATTERY, BATTERY]);
  });
});

describe('of two ends in the same turn', () => {
  /** A brief test in whose 20th second both happen; a contact that drops out counts after half a second. */
  function both(at: (b: Bench, ms: number) => unknown, settings = {}): Bench {
    const b = new Bench(settings).planned(TestKind.Brief).runToDischarge();
    const ms = b.s.t0 + 20_000;
    b.at(ms - Limit.DebounceMs, { contact: 'closed' });
    at(b, ms);
    return b.run(b.now + 60_000);
  }

  it("a person's action takes precedence over a contact that has dropped out", () => {
    expect(both((b, ms) => b.at(ms, { stop: 1 })).result().end).toBe(Reason.StopInput);
    expect(both((b, ms) => b.at(ms, { key: 1 })).result().end).toBe(Reason.KeyHold);
  });

  it('a contact that has dropped out takes precedence over its auxiliary contact', () => {
    expect(both(() => 0, { fitted: 1 }).result().end).toBe(Reason.RelayFellBack);
  });

  it('people in a shared area take precedence over the full time, and the test does not count', () => {
    const b = new Bench(SHARED).planned(TestKind.Brief);
    b.lamps[1] = lampOf(1, 0);
    b.runToDischarge();
    b.at(b.s.t0 + 120_000, { occupied: 1 });
    b.run(b.now + 130_000);
    expect(b.result().end).toBe(Reason.Occupied);
    expect(b.result().lamps[1][0]).toBe(Verdict.Fail);
    expect([b.s.lastBriefUtc, b.s.slotState[0]]).toEqual([0, 0]);
  });
});

describe('the last moment of a discharge', () => {
  const LIMIT_MS = 120_000;

  it('is not proven when the supply returned a turn before it', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    b.at(b.s.t0 + LIMIT_MS - Limit.LoopMs, { contact: 'closed' });
    b.run(b.now + 140_000);
    expect([b.result().end, b.s.phase, b.s.reason]).toEqual([
      Reason.RelayFellBack,
      Phase.Fault,
      Reason.RelayFellBack,
    ]);
    expect(b.result().lamps.map((lamp) => lamp[0])).toEqual([3, 3, 3, 3]);
  });

  it('is not proven when the mains failed a turn before it, and no lamp is blamed for that', () => {
    const b = new Bench().planned(TestKind.Brief);
    b.lamps[0] = (ms) => (ms >= LIMIT_MS ? 0 : lampOf(0)(ms));
    b.runToDischarge();
    b.at(b.s.t0 + LIMIT_MS - Limit.LoopMs, { mains: 0 });
    b.run(b.now + 140_000);
    expect(b.result().end).toBe(Reason.Outage);
    expect(b.result().lamps.map((lamp) => lamp[0])).toEqual([3, 3, 3, 3]);
  });

  it('is read again when the mains failed only briefly', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    const early = b.s.t0 + Limit.EarlyPointMs;
    b.lamps[0] = (ms) => (ms >= early - b.s.t0 && ms < early - b.s.t0 + 250 ? 0 : lampOf(0)(ms));
    b.at(early, { mains: 0 }).at(early + 250, { mains: 1 });
    b.run(b.now + 200_000);
    expect(b.result().end).toBe(Reason.Complete);
    expect(b.result().lamps[0].slice(0, 2)).toEqual([Verdict.Pass, Reason.None]);
  });

  it('belongs to whoever stopped the test, if the supply returned a turn before it', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    b.at(b.s.t0 + LIMIT_MS - Limit.LoopMs, { contact: 'closed' }).at(b.s.t0 + LIMIT_MS, { stop: 1 });
    b.run(b.now + 140_000);
    expect(b.result().end).toBe(Reason.StopInput);
  });

  it('is the full time even for a lamp whose sensor was at the rail', () => {
    const b = new Bench().planned(TestKind.Brief);
    b.lamps[0] = (ms) => (ms >= LIMIT_MS ? Limit.RailHigh : lampOf(0)(ms));
    b.runToDischarge().run(b.now + 140_000);
    expect([b.result().end, b.s.phase]).toEqual([Reason.Complete, Phase.Recharging]);
    expect(b.result().lamps.map((lamp) => lamp.slice(0, 2))).toEqual([
      [Verdict.Void, Reason.SensorRange],
      ...[1, 2, 3].map(() => [Verdict.Pass, Reason.None]),
    ]);
  });
});

describe('a walk-round', () => {
  const extend = (b: Bench, seconds: number): Reason => takeOrder(b.s, OrderKind.Extend, seconds, b.now);
  const cut = (to: number): Bench =>
    new Bench().plan([[1, TestKind.Brief, WINDOW.from, to]]).runToDischarge();

  it('may be one second long', () => {
    const b = cut(WINDOW.to);
    expect(extend(b, 1)).toBe(Reason.None);
    b.run(b.now + 200_000);
    expect(b.result().seconds).toBe(121);
  });

  it('may last to the very second that the window can hold by the slowest clock', () => {
    const { t0 } = cut(WINDOW.to).s;
    const error = 2 + Math.floor((t0 * Limit.DriftPpm) / 1e9);
    const end = START + Math.floor((t0 + 180_000) / 1000) + Limit.OpenGraceSec + error;
    expect(extend(cut(end), 60)).toBe(Reason.None);
    expect(extend(cut(end - 1), 60)).toBe(Reason.OutOfBounds);
  });
});
