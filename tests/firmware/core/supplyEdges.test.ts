// Dips, exercises, alarms and reminders at the very millisecond at which they begin to count.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { mayExercise } from '../../../firmware/core/exercise';
import { readSenses } from '../../../firmware/core/senses';
import { Sense } from '../../../firmware/core/state';
import { takeOrder } from '../../../firmware/core/step';
import { Bench, DAY_MS, IN_WINDOW, SETTINGS } from './bench';

const SHARED = { shared: 1, emptySec: 60, fitted: 2 };

const atRest = (): Bench => new Bench().plan([]).run(IN_WINDOW);

/** A brief test in the turn in which its relay was told to open. */
function opening(settings = {}): Bench {
  const b = new Bench(settings).planned(TestKind.Brief).run(IN_WINDOW - 60_000);
  return b.runTo(() => b.s.drive === 1, IN_WINDOW);
}

/** A contact that has stuck open at the end of a brief test, with the alarm just raised. */
function stuckOpen(): Bench {
  const b = new Bench().planned(TestKind.Brief).runToDischarge();
  b.contact = 'open';
  return b.runTo(() => b.s.phase === Phase.Fault, b.now + 200_000);
}

/** A supply lost with the relay at rest, with the alarm just raised. */
function supplyLost(): Bench {
  const b = atRest();
  b.contact = 'open';
  return b.runTo(() => b.s.phase === Phase.Fault, b.now + 20_000);
}

/** Shows the core these levels before and behind the relay at that instant, and nothing else. */
function show(b: Bench, before: number, after: number, at: number): number {
  b.s.in.supplyA = before;
  b.s.in.supplyB = after;
  readSenses(b.s, at);
  return b.s.supplyDips;
}

describe('a dip behind the relay', () => {
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

  it('is no dip of the supply when the coil was let go before the dark had settled', () => {
    const b = opening(SHARED);
    b.run(b.now + 250);
    b.change({ occupied: 1 }).run(b.now + 250);
    expect([b.s.phase, b.s.raw[Sense.After], b.s.level[Sense.After]]).toEqual([Phase.Restoring, 0, 1]);
    b.run(b.now + 5000);
    expect([b.result().end, b.s.supplyDips]).toEqual([Reason.Occupied, 0]);
  });

  it('is no dip of its own while the mains are away, whatever holds the luminaires up', () => {
    const b = atRest();
    const t = b.now;
    show(b, 0, 1, t);
    show(b, 0, 0, t + 2000);
    expect(show(b, 0, 1, t + 2250)).toBe(0);
  });

  it('is no dip of its own up to half a second after the mains have come back, and one from then on', () => {
    for (const [late, dips] of [
      [Limit.DebounceMs, 0],
      [Limit.DebounceMs + 1, 1],
    ]) {
      const b = atRest();
      const t = b.now;
      // The mains have come back for good at `t`; what lies behind the relay dips shortly before the end.
      b.s.rawAt[Sense.Before] = t;
      show(b, 1, 0, t + late - 100);
      expect(show(b, 1, 1, t + late)).toBe(dips);
    }
  });
});

describe('dips of the supply', () => {
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

  it('give no supply to luminaires that have none', () => {
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
  it('is noticed in the same turn, also where no auxiliary contact tells of it', () => {
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

  it('is told at once, and again every minute, not sooner', () => {
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

  it('is recorded when it is back, once and as what it was, and no exercise was ever kept for it', () => {
    const b = supplyLost();
    expect([b.s.exercisesLeft, b.s.supplyMissing]).toEqual([0, 1]);
    const since = b.s.phaseAt;
    b.run(since + 100_000);
    b.change({ contact: 'follows' }).run(b.now + 200_000);
    expect(b.of('supply').map((r) => [r.reason, r.arg])).toEqual([[Reason.SupplyLost, 100]]);
    expect([b.s.phase, b.s.reason, b.s.supplyMissing]).toEqual([Phase.Fault, Reason.SupplyLost, 0]);
  });
});

describe('an exercise', () => {
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

  it('is not made with the supply just seen behind the relay, nor before its loss has settled', () => {
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

  it('with an auxiliary contact fitted is made while that says open', () => {
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

it('a hold is brought to mind in the turn in which a day of it is over', () => {
  const b = atRest();
  takeOrder(b.s, OrderKind.Hold, 200_000, b.now);
  b.runTo(() => b.s.phase === Phase.Held, b.now + 1000);
  const at = b.s.phaseAt + DAY_MS;
  b.run(at);
  expect(b.of('reminder')).toHaveLength(0);
  b.run(at + Limit.LoopMs);
  expect(b.of('reminder').map((r) => [r.reason, r.arg])).toEqual([[Reason.OrderedHold, 86_400]]);
});
