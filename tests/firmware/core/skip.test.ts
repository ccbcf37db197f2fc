// What the simulator leaves out of a long run changes nothing: the same world, with and without it.
import { array, assert, constantFrom, integer, nat, oneof, property, record, tuple } from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Fitted, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import type { SettingsMessage } from '../../../firmware/contract/messages';
import { nextDueAt, plainUntil, skipReadings, takePlainReading } from '../../../firmware/core/skip';
import { takeAnswer } from '../../../firmware/core/step';
import {
  BATTERY,
  Bench,
  DAY_MS,
  IN_WINDOW,
  type LampModel,
  lampOf,
  START,
  WINDOW,
  type World,
} from './bench';

const HOUR_MS = 3_600_000;
const WEEK_MS = 7 * DAY_MS;

/** Four nights, one test in each of the first three; the plan runs out after six days. */
const NIGHTS = [TestKind.Brief, TestKind.Full, TestKind.Brief].map((kind, i) => [
  ...[i + 1, kind],
  ...[WINDOW.from + i * 86_400, WINDOW.to + i * 86_400],
]);
const UNTIL = START + 6 * 86_400;

interface Story {
  settings: Partial<SettingsMessage>;
  lamps: LampModel[];
  changes: { at: number; world: Partial<World> }[];
  /** Answers of the host: monotonic ms and how far its clock is off, ms. */
  answers: [at: number, off: number][];
}

function passOverReadings(b: Bench, before: number): void {
  const { s } = b;
  const count = s.set.lampCount;
  let until = plainUntil(s, b.now, Math.min(before, b.nextChangeAt()));
  for (let at = b.now + Limit.LoopMs; at < until; at += Limit.LoopMs)
    for (let i = 0; i < count; i++) if (b.readingAt(i, at) < s.quick[i]) until = at;
  while (s.sampleAt < until) {
    skipReadings(s, until);
    for (let i = 0; i < count; i++) s.in.lamp[i] = b.readingAt(i, s.sampleAt);
    takePlainReading(s, until);
  }
}

/** Plays a story to its end, leaving out what may be left out, or not. */
function played(story: Story, leavesOut: boolean): Bench {
  const b = new Bench(story.settings).plan(NIGHTS, UNTIL);
  b.lamps = story.lamps;
  let until = WEEK_MS;
  if (leavesOut)
    b.dueAt = () => {
      passOverReadings(b, until);
      return nextDueAt(b.s, b.now);
    };
  for (const { at, world } of story.changes) b.at(at, world);
  for (const [at, off] of [...story.answers].sort((a, z) => a[0] - z[0])) {
    until = at;
    b.run(at);
    until = WEEK_MS;
    takeAnswer(b.s, START * 1000 + at + off, at, at);
  }
  return b.run(WEEK_MS);
}

/** The outcome of a story, except when the core next checks its plan. */
function left(b: Bench) {
  return { ...b.s, wakeAt: 0, records: b.records, drives: b.drives, dirtied: b.dirtied, broken: b.broken };
}

function expectSame(story: Story): { all: Bench; few: Bench } {
  const all = played(story, false);
  const few = played(story, true);
  expect(left(few)).toEqual(left(all));
  return { all, few };
}

const CALM: Story = {
  settings: {},
  lamps: [0, 1, 2, 3].map((mode) => lampOf(mode)),
  changes: [],
  answers: [],
};

const within = oneof(
  integer({ min: 0, max: WEEK_MS }),
  integer({ min: -60_000, max: 2 * HOUR_MS }).map((ms) => IN_WINDOW + ms),
  integer({ min: -60_000, max: 2 * HOUR_MS }).map((ms) => IN_WINDOW + DAY_MS + ms),
).map((ms) => Math.floor(ms / 250) * 250);

/**
 * Not in the hour before a window: an answer that reduces the clock's error there brings the window forward,
 * but `nextDueAt` assumes that it only grows. The simulated link sends its answers before that hour.
 */
const toAnswer = within.filter((at) => {
  const toWindow = (IN_WINDOW - 60_000 - at + WEEK_MS) % DAY_MS;
  return toWindow > HOUR_MS && toWindow < DAY_MS - 60_000;
});

const passing = tuple(
  constantFrom<[Partial<World>, Partial<World>]>(
    [{ mains: 0 }, { mains: 1 }],
    [{ key: 1 }, { key: 0 }],
    [{ stop: 1 }, { stop: 0 }],
    [{ occupied: 1 }, { occupied: 0 }],
    [{ contact: 'closed' }, { contact: 'follows' }],
  ),
  within,
  oneof(integer({ min: 1, max: 8 }), integer({ min: 1, max: 40_000 })),
).map(([[on, off], at, turns]) => [
  { at, world: on },
  { at: at + turns * 250, world: off },
]);

const lamp = tuple(
  nat(3),
  oneof(constantFrom(Number.POSITIVE_INFINITY), integer({ max: 4_000_000 })),
  nat(90_000),
).map(([mode, dies, strikes]): LampModel => {
  const steady = lampOf(mode, dies, strikes < 70_000 ? strikes % 6000 : strikes);
  const lit = (share: (ms: number) => number) => (ms: number) =>
    steady(ms) === BATTERY ? Math.floor(BATTERY * share(ms)) : steady(ms);
  // Some fluctuate from reading to reading, within what counts as lit; some sag, and some of these to their level.
  if (strikes % 3 === 0) return lit((ms) => 1 - (ms % 7) / 200);
  return strikes % 3 === 1 ? lit((ms) => 1 - ms / (strikes * 200)) : steady;
});

const stories = record({
  settings: constantFrom<Partial<SettingsMessage>>(
    {},
    { rechargeSec: 40_000, briefRechargeSec: 0 },
    { shared: 1, emptySec: 300, fitted: Fitted.Occupancy },
    { fitted: Fitted.Charge, chargeMilliamps: 500 },
    { cycle: 2, residue: 1 },
    { limited: 1, fullDays: 3, briefDays: 2 },
  ),
  lamps: tuple(lamp, lamp, lamp, lamp).map((four) => four as LampModel[]),
  changes: array(passing, { maxLength: 4 }).map((pairs) => pairs.flat()),
  answers: array(tuple(toAnswer, constantFrom(0, 0, 0, 900, -900, 30_000)), { maxLength: 6 }),
});

describe('what a long run leaves out', () => {
  it('is most of a calm week and of its tests', () => {
    const { all, few } = expectSame(CALM);
    expect(all.of('result').map((r) => r.type)).toEqual([TestKind.Brief, TestKind.Full, TestKind.Brief]);
    expect(few.steps).toBeLessThan(all.steps / 5);
  });

  it('changes nothing, whatever happens to circuit and lamps, and whatever time the host reports', () => {
    assert(
      property(stories, (story) => {
        expectSame(story);
      }),
      { numRuns: 60 },
    );
  }, 60_000);
});

describe('the next instant at which something is due', () => {
  it('is the start of the next window, late by the possible error of the clock', () => {
    const b = new Bench().plan(NIGHTS, UNTIL).run(2 * HOUR_MS);
    expect(nextDueAt(b.s, b.now)).toBe(DAY_MS);
    b.run(DAY_MS + 250);
    expect([b.s.wakeAt, nextDueAt(b.s, b.now)]).toEqual([DAY_MS + HOUR_MS, IN_WINDOW - 50_000]);
  });

  it('is the next step when a record is waiting, a test is waiting, or the clock was never set', () => {
    const waiting = new Bench().plan(NIGHTS, UNTIL).run(2 * HOUR_MS);
    waiting.s.outCount = 1;
    expect(nextDueAt(waiting.s, waiting.now)).toBe(waiting.s.wakeAt);
    const unset = new Bench({}, false).plan(NIGHTS, UNTIL).run(2 * HOUR_MS);
    expect(nextDueAt(unset.s, unset.now)).toBe(unset.s.wakeAt);
    const held = new Bench().planned(TestKind.Brief).change({ stop: 1 }).run(IN_WINDOW);
    expect(nextDueAt(held.s, held.now)).toBe(held.s.wakeAt);
  });
});
