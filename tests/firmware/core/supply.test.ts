// A supply that does not return, dips, fails at the wrong moment or is kept off on purpose.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { brokenClaims } from '../../../firmware/core/claims';
import { mayExercise } from '../../../firmware/core/exercise';
import { mayOpen } from '../../../firmware/core/permission';
import { readSenses } from '../../../firmware/core/senses';
import { Sense } from '../../../firmware/core/state';
import { chargedUtc, takeOrder } from '../../../firmware/core/step';
import {
  atRest,
  Bench,
  DAY_MS,
  HOUR_MS,
  IN_WINDOW,
  opening,
  SETTINGS,
  SHARED,
  START,
  WINDOW,
  type World,
} from './bench';

/** A contact stuck open at the end of a brief test, with the alarm just raised. */
function stuckOpen(settings = {}): Bench {
  const b = new Bench(settings).planned(TestKind.Brief).runToDischarge();
  b.contact = 'open';
  return b.runTo(() => b.s.phase === Phase.Fault, b.now + 200_000);
}

/** `count` short mains failures, `everyMs` apart, each over before it counts as an outage. */
function dip(b: Bench, count: number, everyMs = 2000, world: Partial<World> = { mains: 0 }): Bench {
  for (let i = 0; i < count; i++) {
    b.change(world).run(b.now + 250);
    b.change({ mains: 1, contact: 'follows' }).run(b.now + everyMs - 250);
  }
  return b;
}

/** A supply lost with the relay at rest, with the alarm just raised. */
function supplyLost(): Bench {
  const b = atRest();
  b.contact = 'open';
  return b.runTo(() => b.s.phase === Phase.Fault, b.now + 20_000);
}

/** Shows the core these levels before and after the relay at that instant, and nothing else. */
function show(b: Bench, before: number, after: number, at: number): number {
  b.s.in.supplyA = before;
  b.s.in.supplyB = after;
  readSenses(b.s, at);
  return b.s.supplyDips;
}

describe('a contact stuck open', () => {
  it('is exercised three times, 10 s, a minute and 10 min after the alarm, for less than a second', () => {
    const b = stuckOpen();
    const alarmAt = b.s.phaseAt;
    b.run(alarmAt + 2 * HOUR_MS);
    expect(b.exercises.map((e) => Math.round((e.from - alarmAt) / 1000))).toEqual([10, 60, 600]);
    for (const { from, to } of b.exercises) expect(to - from).toBeLessThanOrEqual(Limit.ExerciseMs);
    expect(b.exercises.every((e) => e.to - e.from >= 500)).toBe(true);
    expect(b.of('intent')).toHaveLength(1);
    expect(b.broken).toEqual([]);
  });

  it('is still reported every minute after the last exercise, until a person clears it', () => {
    const b = stuckOpen();
    b.run(b.s.phaseAt + HOUR_MS);
    const before = b.dirtied;
    b.run(b.now + HOUR_MS);
    expect(b.dirtied - before).toBe(60);
    b.contact = 'follows';
    b.run(b.now + HOUR_MS);
    expect([b.s.phase, b.s.reason, b.s.red]).toEqual([Phase.Fault, Reason.RelayStuckOpen, 1]);
    expect(b.exercises).toHaveLength(3);
    expect(takeOrder(b.s, OrderKind.ClearFault, 0, b.now)).toBe(Reason.None);
  });

  it('is reported in the state at every exercise', () => {
    const b = stuckOpen();
    b.run(b.s.phaseAt + 9750);
    const before = b.dirtied;
    b.run(b.now + 1500);
    expect(b.dirtied - before).toBe(2);
  });

  it('is never exercised once the supply is back', () => {
    const b = stuckOpen();
    b.run(b.s.phaseAt + 20_000);
    b.contact = 'follows';
    b.run(b.now + 2000);
    b.contact = 'open';
    b.run(b.now + HOUR_MS);
    expect(b.exercises).toHaveLength(1);
    expect(b.broken).toEqual([]);
  });

  const against: [string, Partial<World>, object][] = [
    ['the mains fails', { mains: 0 }, {}],
    ['the stop input is active', { stop: 1 }, {}],
    ['the key is turned', { key: 1 }, {}],
    ['someone is in a shared area', { occupied: 1 }, SHARED],
    ['the auxiliary contact says closed', { aux: 0 }, { fitted: 1 }],
  ];
  it.each(against)('is let alone while %s, and exercised afterwards', (_name, world, settings) => {
    const b = stuckOpen(settings);
    b.change(world).run(b.s.phaseAt + 50_000);
    expect(b.exercises).toEqual([]);
    b.change({ mains: 1, stop: 0, key: 0, occupied: 0, aux: undefined }).run(b.now + 20_000);
    expect(b.exercises).toHaveLength(1);
    b.run(b.now + 2 * HOUR_MS);
    expect(b.exercises).toHaveLength(3);
    expect(b.exercises[1].from - b.exercises[0].from).toBeGreaterThanOrEqual(50_000);
    expect(b.broken).toEqual([]);
  });

  it.each(against)('has its exercise cut off within a turn when %s', (_name, world, settings) => {
    const b = stuckOpen(settings);
    b.runTo(() => b.exercises.length === 1, b.s.phaseAt + 12_000);
    b.change(world).run(b.now + 500);
    expect(b.s.drive).toBe(world.aux === 0 ? b.s.drive : 0);
    b.run(b.now + 500);
    expect([b.s.drive, b.s.leaseUntil]).toEqual([0, 0]);
    expect(b.broken).toEqual([]);
  });

  it('has its exercise ended by an order to restore', () => {
    const b = stuckOpen();
    b.runTo(() => b.s.drive === 1, b.s.phaseAt + 12_000);
    expect(takeOrder(b.s, OrderKind.Restore, 0, b.now)).toBe(Reason.None);
    expect([b.s.drive, b.s.leaseUntil, b.s.phase]).toEqual([0, 0, Phase.Fault]);
    expect(takeOrder(b.s, OrderKind.Restore, 0, b.now)).toBe(Reason.NothingToDo);
  });

  it('is not suspected when the supply was lost with the relay at rest', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    b.contact = 'open';
    b.run(b.now + HOUR_MS);
    expect([b.s.reason, b.exercises.length]).toEqual([Reason.SupplyLost, 0]);
  });

  it.each([
    ['with the supply there', { level: [1, 1, 0] }],
    ['with mains missing', { level: [0, 0, 0] }],
    ['with the supply just coming back', { raw: [1, 1, 0] }],
    ['with a supply that was there a moment ago', { rawAt: [0, Number.POSITIVE_INFINITY, 0] }],
    ['for longer than a second', { openAt: -1001 }],
    ['in another fault', { reason: Reason.NoneLit }],
  ])('breaks the claims when its coil is held %s', (_name, change) => {
    const { s } = stuckOpen();
    const now = s.phaseAt + 10_000;
    Object.assign(s, { drive: 1, leaseUntil: now, openAt: now });
    expect(brokenClaims(s, now)).toEqual([]);
    Object.assign(s, change, 'openAt' in change ? { openAt: now + (change.openAt as number) } : {});
    expect(brokenClaims(s, now).map((name) => name.slice(0, 2))).toEqual(['I1', 'I2']);
  });
});

describe('an unsteady supply', () => {
  const ask = (b: Bench): Reason => mayOpen(b.s, TestKind.Brief, WINDOW.to, b.now);

  it('begins with the sixth dip in a row, is recorded once, and keeps tests from starting', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    dip(b, 5);
    expect(ask(b)).toBe(Reason.None);
    dip(b, 1);
    expect(ask(b)).toBe(Reason.UnsteadySupply);
    dip(b, 20);
    expect(b.of('supply').map((r) => [r.reason, r.arg])).toEqual([[Reason.UnsteadySupply, 6]]);
    expect(b.of('outage')).toHaveLength(0);
    expect(b.broken).toEqual([]);
  });

  it('ends 10 min after the last dip, whenever that came', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    dip(b, 6).run(b.now + 500_000);
    dip(b, 1);
    const last = b.s.supplyDipAt;
    b.run(last + 599_750);
    expect(ask(b)).toBe(Reason.UnsteadySupply);
    b.run(last + 600_250);
    expect(ask(b)).toBe(Reason.StillRecharging);
    dip(b, 6);
    expect(b.of('supply')).toHaveLength(2);
  });

  it('restarts the unbroken charge with every dip, because each drains the batteries a little', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    dip(b, 5);
    expect(b.s.suppliedAt).toBe(0);
    dip(b, 2);
    expect(b.s.suppliedAt).toBe(b.s.supplyDipAt);
    expect(b.s.autonomyAt).toBe(b.s.supplyDipAt + SETTINGS.rechargeSec * 1000);
  });

  it('is not caused by dips that come only now and then', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    dip(b, 30, 61_000);
    expect(ask(b)).toBe(Reason.None);
    expect(b.of('supply')).toHaveLength(0);
  });

  it('is found after the relay too, and a mains dip counts once for both sides', () => {
    const behind = dip(new Bench().plan([]).run(IN_WINDOW), 6, 2000, { contact: 'open' });
    expect(ask(behind)).toBe(Reason.UnsteadySupply);
    const both = dip(new Bench().plan([]).run(IN_WINDOW), 5);
    expect(both.s.supplyDips).toBe(5);
  });

  it('ends a running test as an outage does, void for every lamp', () => {
    const b = new Bench()
      .planned(TestKind.Brief)
      .runToDischarge()
      .run(IN_WINDOW + 10_000);
    dip(b, 5);
    expect(b.s.phase).toBe(Phase.Brief);
    dip(b, 1).run(b.now + 10_000);
    expect(b.result().end).toBe(Reason.Outage);
    expect(b.result().lamps.every((lamp) => lamp[0] === Verdict.Void)).toBe(true);
    expect(b.kinds()).toEqual(['start', 'intent', 'supply', 'result']);
    expect(b.s.autonomyAt).toBeGreaterThan(b.now + 86_000_000);
    expect(b.broken).toEqual([]);
  });

  it("is not inferred from the relay's own work", () => {
    const b = new Bench(SHARED).planned(TestKind.Brief).runToDischarge();
    for (let i = 0; i < 8; i++) {
      b.contact = 'closed';
      b.run(b.now + 250);
      b.contact = 'follows';
      b.run(b.now + 500);
    }
    expect(b.s.supplyDips).toBe(0);
  });
});

describe('an outage', () => {
  it('in a tester fault is recorded with its return, and the fault stays', () => {
    const b = stuckOpen();
    b.contact = 'follows';
    b.run(b.now + 5000);
    b.mains = 0;
    b.run(b.now + 300_000);
    expect([b.s.phase, b.s.red]).toEqual([Phase.Fault, 1]);
    b.mains = 1;
    b.run(b.now + 5000);
    expect(b.kinds().slice(-4)).toEqual(['fault', 'supply', 'outage', 'supply']);
    expect(b.of('supply').map((r) => r.reason)).toEqual([Reason.RelayStuckOpen, Reason.Outage]);
    expect(Math.abs(b.of('supply')[1].arg - 300)).toBeLessThanOrEqual(1);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.RelayStuckOpen]);
  });

  it('before a test only delays it, and in the second before the relay opens leaves no result', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW - 60_000);
    b.runTo(() => b.s.phase === Phase.Opening, IN_WINDOW + 60_000);
    b.mains = 0;
    b.run(b.now + 60_000);
    b.mains = 1;
    b.run(b.now + 5000);
    expect(b.kinds()).toEqual(['start', 'outage', 'supply']);
    expect(b.drives).toEqual([]);
    expect(b.s.waiting).toBe(Reason.StillRecharging);
  });

  it('while the restore is being proven leaves the result unproven and no fault', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    b.runTo(() => b.s.phase === Phase.Restoring, b.now + 200_000);
    b.mains = 0;
    b.run(b.now + 60_000);
    b.mains = 1;
    b.run(b.now + 5000);
    expect(b.kinds()).toEqual(['start', 'intent', 'result', 'outage', 'supply']);
    expect([b.result().end, b.result().restoreMs]).toEqual([Reason.Complete, -1]);
    expect(b.s.phase).toBe(Phase.Recharging);
    expect(b.s.autonomyAt).toBeGreaterThan(b.now + 86_000_000);
  });

  it('while the restore is being proven does not hide a contact that stays open', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    b.contact = 'open';
    b.runTo(() => b.s.phase === Phase.Restoring, b.now + 200_000);
    b.mains = 0;
    b.run(b.now + 60_000);
    b.mains = 1;
    b.run(b.now + 10_000);
    expect([b.s.phase, b.s.reason, b.s.red]).toEqual([Phase.Fault, Reason.SupplyLost, 1]);
  });

  it('in the recharge keeps the notice of missing autonomy until a whole day without a break (R35)', () => {
    const b = new Bench().planned(TestKind.Full).run(IN_WINDOW + HOUR_MS + 60_000);
    b.run(b.now + 20 * HOUR_MS);
    expect(chargedUtc(b.s, b.now)).toBe(START + Math.floor(b.s.autonomyAt / 1000));
    b.mains = 0;
    b.run(b.now + 60_000);
    b.mains = 1;
    const back = b.now;
    b.run(back + 23 * HOUR_MS);
    expect(b.s.phase).toBe(Phase.Recharging);
    expect(chargedUtc(b.s, b.now)).toBeGreaterThanOrEqual(START + Math.floor((back + DAY_MS) / 1000));
    b.run(back + DAY_MS + 1000);
    expect([b.s.phase, chargedUtc(b.s, b.now)]).toEqual([Phase.Charged, 0]);
  });

  it('after a brief test requires a whole recharge, not what the brief test would have owed', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW + 300_000);
    expect(b.s.autonomyAt - b.now).toBeLessThan(HOUR_MS);
    b.mains = 0;
    b.run(b.now + 2000);
    b.mains = 1;
    b.run(b.now + 2000);
    expect(b.s.autonomyAt - b.now).toBeGreaterThan(86_390_000);
  });
});

describe('a reminder of a hold comes', () => {
  const reminders = (b: Bench): number[] => b.of('reminder').map((r) => Math.round(r.arg / 3600));

  it('daily while the luminaires have supply', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    takeOrder(b.s, OrderKind.Hold, Limit.HoldSecMax, b.now);
    b.run(b.now + 8 * DAY_MS);
    expect(reminders(b)).toEqual([24, 48, 72, 96, 120, 144]);
    expect(b.of('reminder')[0].reason).toBe(Reason.OrderedHold);
    expect(b.of('released')).toHaveLength(1);
    expect(b.s.phase).toBe(Phase.Charged);
  });

  it('hourly and with the red lamp while they have none, after the first day daily', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    b.key = 1;
    b.run(b.now + 3 * HOUR_MS + 60_000);
    expect([reminders(b), b.s.red]).toEqual([[1, 2, 3], 1]);
    b.run(b.now + 3 * DAY_MS);
    expect(reminders(b).slice(22)).toEqual([23, 47, 71]);
    b.key = 0;
    b.run(b.now + DAY_MS);
    expect(b.of('reminder')).toHaveLength(25);
  });

  it('not before its time, and afresh for the next hold', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    for (let i = 0; i < 3; i++) {
      takeOrder(b.s, OrderKind.Hold, 86_000, b.now);
      b.run(b.now + DAY_MS);
    }
    expect(b.of('held')).toHaveLength(3);
    expect(b.of('reminder')).toHaveLength(0);
  });
});

describe('a dip after the relay', () => {
  it('is no dip of the supply while the coil is held: the contact may bounce', () => {
    const b = opening();
    b.run(b.now + 250);
    expect(b.s.raw[Sense.After]).toBe(0);
    for (let i = 0; i < 3; i++) {
      b.change({ contact: 'closed' }).run(b.now + 250);
      b.change({ contact: 'follows' }).run(b.now + 250);
    }
    expect([b.s.phase, b.s.supplyDips]).toEqual([Phase.Opening, 0]);
  });

  it('is no dip of the supply when the coil was released before the loss of supply had settled', () => {
    const b = opening(SHARED);
    b.run(b.now + 250);
    b.change({ occupied: 1 }).run(b.now + 250);
    expect([b.s.phase, b.s.raw[Sense.After], b.s.level[Sense.After]]).toEqual([Phase.Restoring, 0, 1]);
    b.run(b.now + 5000);
    expect([b.result().end, b.s.supplyDips]).toEqual([Reason.Occupied, 0]);
  });

  it('is no dip of its own while the mains are off, whatever keeps the luminaires supplied', () => {
    const b = atRest();
    const t = b.now;
    show(b, 0, 1, t);
    show(b, 0, 0, t + 2000);
    expect(show(b, 0, 1, t + 2250)).toBe(0);
  });

  it('is no dip of its own up to half a second after the mains have returned, and one from then on', () => {
    for (const [late, dips] of [
      [Limit.DebounceMs, 0],
      [Limit.DebounceMs + 1, 1],
    ]) {
      const b = atRest();
      const t = b.now;
      // The mains have returned for good at `t`; the supply after the relay dips shortly before the end.
      b.s.rawAt[Sense.Before] = t;
      show(b, 1, 0, t + late - 100);
      expect(show(b, 1, 1, t + late)).toBe(dips);
    }
  });
});

describe('supply dips', () => {
  it.each([
    [Limit.DipSpanMs, 6],
    [Limit.DipSpanMs + 1, 1],
  ])('%i ms apart are counted up to %i', (apartMs, dips) => {
    const b = atRest();
    for (let i = 0; i < 6; i++) {
      show(b, 0, 1, b.now + i * apartMs - 100);
      show(b, 1, 1, b.now + i * apartMs);
    }
    expect(b.s.supplyDips).toBe(dips);
    expect(b.s.unsteadyUntil).toBe(dips === 6 ? b.s.supplyDipAt + Limit.SteadyMs : 0);
  });

  it.each([
    [-1, true],
    [0, false],
  ])('keep the supply unsteady only before its time is over (%i ms from it: %s)', (offMs, isStill) => {
    const b = atRest();
    for (let i = 0; i < 6; i++) {
      show(b, 0, 1, b.now + i * 2000 - 100);
      show(b, 1, 1, b.now + i * 2000);
    }
    const until = b.s.unsteadyUntil;
    const before = b.s.supplyDipAt;
    show(b, 0, 1, until + offMs - 100);
    show(b, 1, 1, until + offMs);
    expect(b.s.unsteadyUntil).toBe(isStill ? until + offMs + Limit.SteadyMs : until);
    expect(b.s.suppliedAt).toBe(isStill ? until + offMs : before);
    expect(b.s.autonomyAt).toBe(b.s.suppliedAt + SETTINGS.rechargeSec * 1000);
  });

  it('do not give supply to luminaires that have none', () => {
    const b = supplyLost();
    expect(b.s.suppliedAt).toBe(-1);
    const { autonomyAt } = b.s;
    for (let i = 0; i < 8; i++) {
      b.change({ mains: 0 }).run(b.now + 250);
      b.change({ mains: 1 }).run(b.now + 2000);
    }
    expect(b.of('supply').map((r) => r.reason)).toEqual([Reason.UnsteadySupply]);
    expect([b.s.suppliedAt, b.s.autonomyAt]).toEqual([-1, autonomyAt]);
  });
});

describe('a supply lost with the relay at rest', () => {
  it('is noticed in the same turn, even where no auxiliary contact reports it', () => {
    const b = atRest();
    expect(b.s.wakeAt - b.now).toBeGreaterThan(60_000);
    const lostAt = b.now;
    b.change({ contact: 'open', aux: 0 }).run(lostAt + Limit.RestoreProofMs + Limit.LoopMs);
    expect([b.s.phase, b.s.reason, b.s.phaseAt - lostAt]).toEqual([
      Phase.Fault,
      Reason.SupplyLost,
      Limit.RestoreProofMs,
    ]);
  });

  it('is reported at once, and again every minute, not sooner', () => {
    const b = supplyLost();
    const since = b.s.phaseAt;
    b.run(since + 2000);
    const told = b.dirtied;
    b.run(since + Limit.AlarmRepeatMs);
    expect(b.dirtied - told).toBe(0);
    b.run(since + Limit.AlarmRepeatMs + Limit.LoopMs);
    expect(b.dirtied - told).toBe(1);
    b.run(since + 2 * Limit.AlarmRepeatMs);
    expect(b.dirtied - told).toBe(1);
  });

  it('is recorded once when it is back, under its own reason, and no exercise was ever scheduled for it', () => {
    const b = supplyLost();
    expect([b.s.exercisesLeft, b.s.supplyMissing]).toEqual([0, 1]);
    const since = b.s.phaseAt;
    b.run(since + 100_000);
    b.change({ contact: 'follows' }).run(b.now + 200_000);
    expect(b.of('supply').map((r) => [r.reason, r.arg])).toEqual([[Reason.SupplyLost, 100]]);
    expect([b.s.phase, b.s.reason, b.s.supplyMissing]).toEqual([Phase.Fault, Reason.SupplyLost, 0]);
  });
});

describe('a coil exercise', () => {
  it('waits until the contact has given no supply for five seconds, to the millisecond', () => {
    const b = stuckOpen();
    const lostAt = b.s.rawAt[Sense.After];
    expect(mayExercise(b.s, lostAt + Limit.RestoreProofMs - 1)).toBe(false);
    expect(mayExercise(b.s, lostAt + Limit.RestoreProofMs)).toBe(true);
  });

  it('is put off by a contact that chatters, and comes when it has been quiet', () => {
    const b = stuckOpen();
    const alarmAt = b.s.phaseAt;
    b.at(alarmAt + 8000, { contact: 'closed' }).at(alarmAt + 8250, { contact: 'open' });
    b.run(alarmAt + 19_000);
    expect(b.exercises).toEqual([]);
    b.run(alarmAt + 21_000);
    expect(b.exercises.map((e) => e.from - alarmAt)).toEqual([Limit.FirstExerciseMs + Limit.AskAgainMs]);
  });

  it('is not made when supply was just seen after the relay, nor before its loss has settled', () => {
    const b = stuckOpen();
    const now = b.now + 10_000;
    expect(mayExercise(b.s, now)).toBe(true);
    b.s.in.supplyB = 1;
    expect(mayExercise(b.s, now)).toBe(false);
    b.s.in.supplyB = 0;
    b.s.level[Sense.After] = 1;
    expect(mayExercise(b.s, now)).toBe(false);
  });

  it('is not made in any other fault', () => {
    const b = supplyLost();
    expect(mayExercise(b.s, b.now + 60_000)).toBe(false);
  });

  it('with an auxiliary contact fitted is made while that reports open', () => {
    const b = stuckOpen();
    b.s.set.fitted = 1;
    expect(mayExercise(b.s, b.now + 10_000)).toBe(true);
  });

  it('holds the coil for three turns, and the next one is a minute after the alarm', () => {
    const b = stuckOpen();
    const alarmAt = b.s.phaseAt;
    b.run(alarmAt + 61_000);
    expect(b.exercises.map((e) => [e.from - alarmAt, e.to - e.from])).toEqual([
      [10_000, 750],
      [60_000, 750],
    ]);
  });
});

it('a reminder of a hold comes in the turn in which a day of it is over', () => {
  const b = atRest();
  takeOrder(b.s, OrderKind.Hold, 200_000, b.now);
  b.runTo(() => b.s.phase === Phase.Held, b.now + 1000);
  const at = b.s.phaseAt + DAY_MS;
  b.run(at);
  expect(b.of('reminder')).toHaveLength(0);
  b.run(at + Limit.LoopMs);
  expect(b.of('reminder').map((r) => [r.reason, r.arg])).toEqual([[Reason.OrderedHold, 86_400]]);
});
