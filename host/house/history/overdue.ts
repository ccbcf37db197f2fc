// Which test an overdue record is about, and which one makes up for it: never a shorter one.
import { Reason, TestKind } from '../../../firmware/contract/codes';
import type { EventRecord } from '../../../firmware/contract/messages';
import { type KindWord, kindWord, testKindWord } from '../../words/codes';

/** UTC seconds at which tests of each kind that are still owed were first recorded as overdue; '' any test. */
export type OverdueTimes = Partial<Record<KindWord, number>>;

/** A commissioning test is no duration test: the next one is due all the same. */
const MADE_UP_BY: Record<KindWord, readonly KindWord[]> = {
  '': ['brief', 'limited', 'full', 'commissioning'],
  brief: ['brief', 'limited', 'full', 'commissioning'],
  limited: ['limited', 'full'],
  full: ['full'],
  commissioning: ['commissioning'],
};

/**
 * The kind of test an overdue record says is owed; '' if no test was made at all. Older firmware did not say it, but
 * for its own schedule, which looks after function tests: then the longest is taken.
 */
export function overdueKind({ reason, arg, type }: EventRecord): KindWord {
  if (reason === Reason.ClockUntrusted) return '';
  return kindWord(type ?? (arg === 0 ? TestKind.Brief : TestKind.Full)) || 'full';
}

/** Kinds of overdue tests that a completed test makes up for. */
export function madeUpBy(done: TestKind): KindWord[] {
  const word = testKindWord(done);
  return (Object.keys(MADE_UP_BY) as KindWord[]).filter((owed) => MADE_UP_BY[owed].includes(word));
}

/** The earliest of them, UTC second; 0 if there is none. */
export function overdueSince(times: OverdueTimes): number {
  const all = Object.values(times);
  return all.length > 0 ? Math.min(...all) : 0;
}
