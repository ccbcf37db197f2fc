// What the log book of one circuit says about relay openings, orders, holds and faults, record by record: I2,
// I4 and I5 as they show there. Anything that depends on recorded times is not judged across a clock jump.
import { OrderKind, Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import { intField, textField } from '../../firmware/contract/fields';
import { isTesterFault, Limit } from '../../firmware/contract/limits';
import type { SettingsMessage } from '../../firmware/contract/messages';
import { isOwnNight } from '../checkers/rules';
import { Jumps } from './jumps';
import type { PlanVersion } from './plans';

/**
 * A result follows within this time after the order that ended the test, s: the supply must be proven back
 * first.
 */
const END_SEC = 30;
/** Share of a hold that a broken crystal leaves in force. */
const HOLD_SURE = 0.9;
/** A test opens within this time after it was due or ordered, s. */
const LOOK_SEC = 5;
const DAY_SEC = 86_400;

/** When something was recorded, UTC s, and the number of the record. */
interface Told {
  utc: number;
  seq: number;
}

export class Openings {
  intents = 0;
  results = 0;
  /** Records were dropped because the flash took none: their content is unknown. */
  isUnsure = false;
  private fault: Reason = Reason.None;
  /** Completed tests and the numbers of their results. */
  private readonly done = new Map<string, number>();
  /** Night of the last test on the fallback schedule, and the number of its intent. */
  private lastFallback = 0;
  private fallbackSeq = 0;
  /** UTC s of the last long test that was judged, 0 none. */
  private lastLong = 0;
  private holdUntil = 0;
  private heldBoot = 0;
  private isReminded = false;
  /** UTC s of an order that must end the test under way, 0 none. */
  private endedAt = 0;
  /** Test that someone ended, when, UTC s, and the number of the record. */
  private readonly ended = new Map<string, Told>();
  /**
   * UTC s of the last order for a test, 0 none; the last one that called off a due test before the relay
   * opened.
   */
  private orderedAt = 0;
  private calledOff: Told | undefined;
  private readonly jumps = new Jumps();

  constructor(
    private readonly plans: PlanVersion[],
    private readonly settings: SettingsMessage,
  ) {}

  /** Takes the next record of this circuit. @returns what it breaks, or '' */
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
      this.fallbackSeq = intField(text, 'seq', 0);
      const isLongDue = utc - this.lastLong > this.settings.fullDays * DAY_SEC + LOOK_SEC;
      // In a shared night it may make no other.
      const isOwn = isOwnNight(this.settings, utc);
      if (isLongDue && isOwn && intField(text, 'type', 0) === TestKind.Brief)
        return 'I9 the fallback schedule began a brief test where the long one was due';
    }
    const ended = [this.ended.get(`${plan}:${test}`), this.calledOff];
    return test > 0 && ended.some((told) => told && this.isSameTurn(plan, test, told.utc, utc))
      ? 'I5 a test that somebody had ended began again in the same window'
      : '';
  }

  /**
   * Records up to this number are no longer in flash: after a restart the controller knows nothing of them.
   */
  forget(through: number): void {
    for (const [test, seq] of this.done) if (seq <= through) this.done.delete(test);
    for (const [test, { seq }] of this.ended) if (seq <= through) this.ended.delete(test);
    if (this.fallbackSeq <= through) this.lastFallback = 0;
    if (this.calledOff && this.calledOff.seq <= through) this.calledOff = undefined;
  }

  /** Whether a planned test is due at both times in the same slot, or a fallback test in the same night. */
  private isSameTurn(plan: number, test: number, one: number, other: number): boolean {
    if (plan === 0) return Math.floor((one - this.settings.noon) / DAY_SEC) === test;
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
    const kind = intField(text, 'type', TestKind.None);
    const isJudged = text.includes(`[${Verdict.Pass},`) || text.includes(`[${Verdict.Fail},`);
    const isDone = isJudged && (end === Reason.Complete || end === Reason.AllDark);
    if (plan > 0 && test > 0 && isDone) this.done.set(`${plan}:${test}:${kind}`, intField(text, 'seq', 0));
    const isLong = kind === TestKind.Full || (kind === TestKind.Limited && this.settings.limited === 1);
    if (isDone && isLong) this.lastLong = utc;
    if (plan > 0 && utc > 0 && end >= Reason.OrderedRestore && end <= Reason.OrderedHold)
      this.ended.set(`${plan}:${test}`, { utc, seq: intField(text, 'seq', 0) });
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
    if (what === OrderKind.Test) this.orderedAt = utc;
    const isOpen = this.intents > this.results;
    if (isOpen && (what === OrderKind.Hold || what === OrderKind.Restore)) this.endedAt = utc;
    // The same order may also end an exercise during a tester fault, or a test that was itself ordered.
    const isCalledOff = !isOpen && this.fault === Reason.None && utc - this.orderedAt > LOOK_SEC;
    if (isCalledOff && what === OrderKind.Restore) this.calledOff = { utc, seq: intField(text, 'seq', 0) };
  }

  /** The clock was corrected, rightly or wrongly: times before and after cannot be compared. */
  private clock(text: string): void {
    this.holdUntil = 0;
    this.endedAt = 0;
    this.ended.clear();
    this.calledOff = undefined;
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
    return isLong && !this.isReminded && !this.isUnsure ? 'I9 a hold of more than a day had no reminder' : '';
  }

  /** What is still owed at the end of a run, or ''. */
  owed(openings: number): string {
    if (this.intents !== this.results) return 'I4 an opening has left no result';
    return openings > this.intents
      ? `I4 the relay opened ${openings} times, announced ${this.intents} times`
      : '';
  }
}
