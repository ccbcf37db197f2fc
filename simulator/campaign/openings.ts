// What the log book of one circuit says about openings, orders, holds and faults, record by record: I2, I4 and I5
// as they show there. What depends on the time told in records is not judged across a jump of the clock.
import { OrderKind, Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import { intField, textField } from '../../firmware/contract/fields';
import { isTesterFault, Limit } from '../../firmware/contract/limits';
import { Jumps } from './jumps';
import type { PlanVersion } from './plans';

/** A result is written so long after the order that ended the test, s: the proof that the supply is back. */
const END_SEC = 30;
/** Part of a hold that a broken crystal leaves in force. */
const HOLD_SURE = 0.9;
const DAY_SEC = 86_400;

export class Openings {
  intents = 0;
  results = 0;
  /** Records were dropped because the flash took none: what they said is not known. */
  isUnsure = false;
  private fault: Reason = Reason.None;
  /** Tests that were done, and the numbers of their results. */
  private readonly done = new Map<string, number>();
  private lastFallback = 0;
  private holdUntil = 0;
  private heldBoot = 0;
  private isReminded = false;
  /** UTC s of an order that must end the opening under way, 0 none. */
  private endedAt = 0;
  /** Test that somebody ended, and when, UTC s. */
  private readonly ended = new Map<string, number>();
  private readonly jumps = new Jumps();

  constructor(private readonly plans: PlanVersion[]) {}

  /** The next record of this circuit. @returns what it breaks, or '' */
  record(text: string): string {
    const kind = textField(text, 'kind');
    if (kind === 'intent') return this.intent(text);
    if (kind === 'result') return this.result(text);
    if (kind === 'order') this.order(text);
    else if (kind === 'clock') this.clock(text);
    else if (kind === 'fault') this.fault = intField(text, 'reason', 0);
    else if (kind === 'cleared') {
      this.fault = Reason.None;
      this.jumps.forget();
    } else if (kind === 'start') this.jumps.forget();
    else return this.hold(kind, text);
    return '';
  }

  private intent(text: string): string {
    this.intents++;
    if (this.intents !== this.results + 1)
      return 'I4 an opening was announced before the last one had a result';
    if (this.isUnsure) return '';
    const plan = intField(text, 'plan', 0);
    const test = intField(text, 'test', 0);
    const utc = intField(text, 'utc', 0);
    if (isTesterFault(this.fault))
      return 'I2 an opening was announced with a tester fault that nobody has cleared';
    if (this.jumps.areTooMany()) return 'I2 an opening was announced by a clock that runs at a wrong rate';
    if (utc < this.holdUntil) return 'I2 an opening was announced during a hold';
    if (this.done.has(`${plan}:${test}:${intField(text, 'type', 0)}`))
      return 'I9 a test that was done began again';
    if (plan === 0 && test > 0) {
      if (this.lastFallback === test) return 'I9 the fallback schedule began twice in a night';
      this.lastFallback = test;
    }
    const endedAt = this.ended.get(`${plan}:${test}`);
    return endedAt !== undefined && this.isSameSlot(plan, test, endedAt, utc)
      ? 'I5 a test that somebody had ended began again in the same window'
      : '';
  }

  /** Records up to this number are no longer in the controller's flash: after a restart it knows nothing of them. */
  forget(through: number): void {
    for (const [test, seq] of this.done) if (seq <= through) this.done.delete(test);
  }

  private isSameSlot(plan: number, test: number, one: number, other: number): boolean {
    const slots = this.plans.find(({ message }) => message.revision === plan)?.slots ?? [];
    return slots.some((s) => s.test === test && s.start <= one && other < s.end && one < other);
  }

  private result(text: string): string {
    this.results++;
    if (this.results !== this.intents) return 'I4 a result came for no opening';
    const plan = intField(text, 'plan', 0);
    const test = intField(text, 'test', 0);
    const utc = intField(text, 'utc', 0);
    const end = intField(text, 'end', 0);
    const isJudged = text.includes(`[${Verdict.Pass},`) || text.includes(`[${Verdict.Fail},`);
    if (plan > 0 && test > 0 && isJudged && (end === Reason.Complete || end === Reason.AllDark))
      this.done.set(`${plan}:${test}:${intField(text, 'type', TestKind.None)}`, intField(text, 'seq', 0));
    if (plan > 0 && utc > 0 && end >= Reason.OrderedRestore && end <= Reason.OrderedHold)
      this.ended.set(`${plan}:${test}`, utc);
    const isLate = this.endedAt > 0 && utc > this.endedAt + END_SEC;
    this.endedAt = 0;
    return isLate ? 'I5 an order that ends a test was accepted and not carried out' : '';
  }

  private order(text: string): void {
    if (intField(text, 'reason', 0) !== Reason.None) return;
    const what = intField(text, 'do', 0);
    const utc = intField(text, 'utc', 0);
    if (what === OrderKind.Hold) this.holdUntil = utc + HOLD_SURE * intField(text, 'arg', 0);
    if (what === OrderKind.Release) this.holdUntil = 0;
    if ((what === OrderKind.Hold || what === OrderKind.Restore) && this.intents > this.results)
      this.endedAt = utc;
  }

  /** The clock was put right, or wrong: times before and after cannot be compared. */
  private clock(text: string): void {
    this.holdUntil = 0;
    this.endedAt = 0;
    this.ended.clear();
    this.jumps.add(intField(text, 'utc', 0), intField(text, 'arg', 0));
  }

  private hold(kind: string, text: string): string {
    if (intField(text, 'reason', 0) !== Reason.OrderedHold) return '';
    const boot = intField(text, 'boot', 0);
    if (kind === 'reminder') this.isReminded = true;
    if (kind === 'held') {
      this.heldBoot = boot;
      this.isReminded = false;
    }
    if (kind !== 'released') return '';
    this.holdUntil = 0;
    const isLong = this.heldBoot === boot && intField(text, 'arg', 0) > DAY_SEC + Limit.OpenGraceSec;
    return isLong && !this.isReminded && !this.isUnsure
      ? 'I9 a hold of more than a day was never brought to mind'
      : '';
  }

  /** What is owed at the end of a run, or ''. */
  owed(openings: number): string {
    if (this.intents !== this.results) return 'I4 an opening has left no result';
    return openings > this.intents
      ? `I4 the relay opened ${openings} times, announced ${this.intents} times`
      : '';
  }
}
