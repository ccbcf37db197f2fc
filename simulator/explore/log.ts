// The log book of a small world: checks what each durable record says against what truly happened.
import { OrderKind, Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import { intField, textField } from '../../firmware/contract/fields';
import { bitOf, breach, FALLBACK_BIT, type World } from './world';

/** Number with that name in a record, 0 when there is none. */
const numberOf = (text: string, name: string): number => intField(text, name, 0);

/** Verdicts of the two lamps in a result: the first number of each row. */
function verdictsOf(text: string): number[] {
  const from = text.indexOf('"lamps":[[') + 10;
  return [Number(text[from]), Number(text[text.indexOf('],[', from) + 3])];
}

/** I4 and I8 when a result is written. */
function checkResult(w: World, text: string): void {
  if (w.intentOpen !== 1) breach(w, 'I4 a result without an open intent');
  if (text.includes(`"end":${Reason.Reset},`)) return;
  // As written: the core may already be on its way to the next test.
  const [first, second] = verdictsOf(text);
  const end = numberOf(text, 'end');
  if (first === Verdict.Open || second === Verdict.Open) breach(w, 'I8 a result with an undecided lamp');
  if (first === Verdict.Pass && w.longDark) breach(w, 'I8 a lamp passed that was dark for longer than a dip');
  if (first === Verdict.Pass && w.darkAtEnd) breach(w, 'I8 a lamp passed that was dark at the end');
  if (first === Verdict.Fail && !w.everDark) breach(w, 'I8 a lamp failed that was never dark');
  if (second === Verdict.Fail) breach(w, 'I8 the sound lamp failed');
  // At its time's end the sound lamp has passed, while one in a fall is still being read.
  const isWhole = numberOf(text, 'seconds') * 1000 >= w.drivenLimitMs;
  if (second === Verdict.Pass && !isWhole && end !== Reason.Complete && end !== Reason.AllDark)
    breach(w, 'I8 a lamp passed in a test that was cut short');
}

function takeResult(w: World, text: string): void {
  checkResult(w, text);
  w.intentOpen = 0;
  const end = numberOf(text, 'end');
  const bit = bitOf(numberOf(text, 'plan'), numberOf(text, 'test'));
  if (end >= Reason.OrderedRestore && end <= Reason.OrderedHold) w.spentDurable |= bit;
  if (end !== Reason.Complete && end !== Reason.AllDark) return;
  w.satisfied |= bit;
  const kind = numberOf(text, 'type');
  if (kind === (w.times.hours ? TestKind.Brief : TestKind.Full)) w.wantedDone = 1;
}

function takeIntent(w: World, text: string): void {
  if (w.intentOpen) breach(w, 'I4 an intent while another is open');
  w.intentOpen = 1;
  if (bitOf(numberOf(text, 'plan'), numberOf(text, 'test')) !== FALLBACK_BIT) return;
  if (w.fallbackDone) breach(w, 'I2 the fallback schedule tested twice in a night');
  w.fallbackDone = 1;
}

/** The core's part of a hold: it has begun, prompts a reminder, or has ended. */
function takeHold(w: World, kind: string, text: string): void {
  const isOrdered = numberOf(text, 'reason') === Reason.OrderedHold;
  if (kind === 'released') {
    w.remindedAt = -1;
    if (isOrdered) w.heldDurableSec = 0;
    return;
  }
  w.remindedAt = w.now;
  if (kind === 'held' && isOrdered) w.heldDurableSec = numberOf(text, 'arg');
}

function takeOrderRecord(w: World, text: string): void {
  if (numberOf(text, 'reason') !== Reason.None) return;
  const what = numberOf(text, 'do');
  if (what === OrderKind.Hold) w.heldDurableSec = numberOf(text, 'arg');
  else if (what === OrderKind.Release) w.heldDurableSec = 0;
  // A test called off before the relay opened has no result.
  else if (what === OrderKind.Restore && !w.intentOpen) w.spentDurable |= w.spent;
}

function takeSupply(w: World, kind: string, text: string): void {
  if (numberOf(text, 'reason') !== Reason.Outage) return;
  if (kind === 'outage' && w.outageTold) breach(w, 'an outage is recorded twice');
  w.outageTold = kind === 'outage' ? 1 : 0;
}

/** A record has become durable. Records that a restart ignores are not kept. */
export function takeRecord(w: World, text: string): void {
  const kind = textField(text, 'kind');
  if (kind === 'intent') takeIntent(w, text);
  else if (kind === 'result') takeResult(w, text);
  else if (kind === 'fault') w.faultOpen = numberOf(text, 'reason');
  else if (kind === 'cleared') {
    // The person who clears it has corrected the clock.
    w.faultOpen = 0;
    w.jumps = 0;
  } else if (kind === 'overdue') w.toldOverdue |= numberOf(text, 'arg') || FALLBACK_BIT;
  else if (kind === 'held' || kind === 'released' || kind === 'reminder') takeHold(w, kind, text);
  else if (kind === 'order') takeOrderRecord(w, text);
  // The core's own record of an ordered test; a restart ignores it.
  else if (kind === 'refused') {
    w.orderedKind = TestKind.None;
    return;
  } else if (kind === 'outage' || kind === 'supply') {
    takeSupply(w, kind, text);
    return;
  } else return;
  if (kind !== 'reminder') w.journal = [...w.journal, text];
}
