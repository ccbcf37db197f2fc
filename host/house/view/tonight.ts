// The tests of one night, from noon to noon, and the state of each.

import type { TonightTest } from '../../api/views';
import type { CircuitPlan, Slot } from '../../planner/plan/plan';
import { testKindWord } from '../../words/codes';
import type { TestEnd } from '../history/history';

export interface TonightInput {
  plan: CircuitPlan;
  /** Ends of tests of this plan, oldest first. */
  ends: TestEnd[];
  /** Number of the running test, 0 if none. */
  running: number;
  /** False if the controller's last report says nothing about now. */
  isHeard: boolean;
}

const DAY_SEC = 86400;
/**
 * A result may show a start slightly before its slot, because clocks differ, s (common practice, no source).
 */
const EARLY_SEC = 120;

function nightOf(plan: CircuitPlan, utcSec: number): number {
  return Math.floor((utcSec - plan.noon) / DAY_SEC);
}

function slotState(slot: Slot, input: TonightInput, now: number): TonightTest['state'] | 'satisfied before' {
  const ends = input.ends.filter((end) => end.test === slot.test);
  const mine = ends.filter((end) => end.at >= slot.start - EARLY_SEC && end.at <= slot.end);
  const done = mine.find((end) => end.isDone);
  if (done) return done.verdict;
  if (ends.some((end) => end.isDone && end.at < slot.start)) return 'satisfied before';
  // A result may be waiting in a controller that is not heard.
  if (!input.isHeard && mine.length === 0 && now >= slot.start) return 'not known';
  if (input.running === slot.test && now >= slot.start - EARLY_SEC && now <= slot.end + EARLY_SEC)
    return 'running';
  const last = mine[mine.length - 1];
  if (last) return last.isStopped ? 'stopped' : last.verdict;
  return now > slot.end ? 'not run' : 'due';
}

function testsOf(input: TonightInput, night: number, now: number): TonightTest[] {
  return input.plan.slots
    .filter((slot) => nightOf(input.plan, slot.start) === night)
    .flatMap((slot) => {
      const state = slotState(slot, input, now);
      if (state === 'satisfied before') return [];
      const { test, start, end } = slot;
      const kind = testKindWord(slot.kind);
      return [{ circuit: input.plan.circuit, test, kind, start, end, state }];
    });
}

/** Tests of the current night, or of the next one with any; by start, then circuit. */
export function tonight(inputs: TonightInput[], now: number): TonightTest[] {
  const order = (a: TonightTest, b: TonightTest): number =>
    a.start - b.start || a.circuit.localeCompare(b.circuit);
  const present = inputs.flatMap((input) => testsOf(input, nightOf(input.plan, now), now));
  if (present.length > 0) return present.sort(order);
  const ahead = inputs.flatMap((input) =>
    input.plan.slots.filter((slot) => slot.start > now).map((slot) => nightOf(input.plan, slot.start)),
  );
  for (const night of [...new Set(ahead)].sort((a, b) => a - b)) {
    const tests = inputs.flatMap((input) => testsOf(input, night, now));
    if (tests.length > 0) return tests.sort(order);
  }
  return [];
}
