// Bodies of records: the middle of the JSON text. The journal puts version, journal and sequence
// before it, and the chain and the signature after it.
import { type ClockTrust, Reason, type TestKind, Verdict } from '../contract/codes';
import { curveText } from '../contract/curve';
import { FIRMWARE, Limit } from '../contract/limits';
import { clockTrust, utcAt } from './clock';
import { curveOf } from './curves';
import type { Core } from './state';

/**
 * Queues a record body for the journal. If the flash takes no writes, the queue must not fill the memory too.
 */
export function queueRecord(s: Core, body: string): void {
  if (s.outCount >= Limit.QueuedRecords) return;
  s.out[s.outCount] = body;
  s.outCount++;
}

function head(s: Core, kind: string, now: number): string {
  const trust: ClockTrust = clockTrust(s, now);
  return '"boot":' + s.boot + ',"utc":' + utcAt(s, now) + ',"clock":' + trust + ',"kind":"' + kind + '"';
}

function testFields(s: Core): string {
  return ',"plan":' + s.testPlan + ',"test":' + s.test + ',"type":' + s.kind;
}

export function startRecord(s: Core, cause: number, now: number): string {
  return head(s, 'start', now) + ',"cause":' + cause + ',"firmware":"' + FIRMWARE + '"';
}

export function intentRecord(s: Core, now: number): string {
  return head(s, 'intent', now) + testFields(s);
}

export function eventRecord(s: Core, kind: string, reason: Reason, arg: number, now: number): string {
  return head(s, kind, now) + ',"reason":' + reason + ',"arg":' + arg;
}

/**
 * A test in the current plan whose last slot has passed; test 0 stands for the fallback schedule, or for every
 * test, of kind None, while the clock is not set.
 */
export function overdueRecord(s: Core, test: number, kind: TestKind, now: number): string {
  const reason = s.clockSet ? Reason.None : Reason.ClockUntrusted;
  // Includes the revision, so that after a restart a later plan is not blamed.
  return eventRecord(s, 'overdue', reason, test, now) + ',"plan":' + s.planRevision + ',"type":' + kind;
}

/**
 * How the circuit charged after the last test.
 * @param half s until the current had fallen to half of the first check, -1 not seen; `float` likewise
 * @param count number of checks, from the first to the last
 */
export function chargeRecord(
  s: Core,
  reason: Reason,
  half: number,
  float: number,
  count: number,
  now: number,
): string {
  return (
    eventRecord(s, 'charge', reason, s.chargeFirst, now) +
    (',"plan":' + s.testPlan + ',"test":' + s.test + ',"half":' + half + ',"float":' + float) +
    (',"step":' + s.chargeStepSec + ',"curve":"' + curveText(s.chargeCurve, 0, count) + '"')
  );
}

/** A part of a trace; `text` needs no escape. */
export function traceRecord(s: Core, part: number, left: number, text: string, now: number): string {
  return head(s, 'trace', now) + ',"part":' + part + ',"left":' + left + ',"text":"' + text + '"';
}

/** `who` must already have been checked: printable ASCII without quote or backslash. */
export function orderRecord(
  s: Core,
  kind: string,
  counter: number,
  what: number,
  arg: number,
  reason: Reason,
  who: string,
  now: number,
): string {
  return (
    head(s, kind, now) +
    (',"counter":' + counter + ',"do":' + what + ',"arg":' + arg) +
    (',"reason":' + reason + ',"who":"' + who + '"')
  );
}

/**
 * In the order of ResultColumn. Unrolled: a loop over its columns takes the interpreter more than twice as
 * long.
 */
function lampRow(s: Core, i: number): string {
  return (
    '[' +
    (s.verdict[i] + ',' + s.why[i] + ',' + s.litSec[i] + ',' + s.at5[i] + ',' + s.at60[i]) +
    (',' + s.ma[i] + ',' + s.sum[i] + ']')
  );
}

function curveFields(s: Core): string {
  let text = ',"grid":' + s.curveGridSec + ',"curves":[';
  for (let i = 0; i < s.set.lampCount; i++) text += (i > 0 ? ',"' : '"') + curveOf(s, i) + '"';
  return text + ']';
}

/** The one result of an opening, with its evidence. */
export function resultRecord(s: Core, restoreMs: number, now: number): string {
  let text =
    head(s, 'result', now) +
    testFields(s) +
    (',"settings":' + s.set.revision) +
    (',"started":' + s.startedUtc + ',"seconds":' + s.dischargeSec + ',"end":' + s.end) +
    (',"openMs":' + s.openMs + ',"restoreMs":' + restoreMs + ',"guard":' + s.proof + ',"lamps":[');
  for (let i = 0; i < s.set.lampCount; i++) text += (i > 0 ? ',' : '') + lampRow(s, i);
  text += ']';
  return s.curveNext > 0 ? text + curveFields(s) : text;
}

/** The result of an opening that a reset cut short, or that never took place: void for every lamp, no evidence. */
export function lostResultRecord(s: Core, why: Reason, now: number): string {
  let text = head(s, 'result', now) + testFields(s) + ',"settings":' + s.set.revision;
  text += ',"started":0,"seconds":0,"end":' + why + ',"openMs":-1,"restoreMs":-1,"lamps":[';
  for (let i = 0; i < s.set.lampCount; i++)
    text += (i > 0 ? ',' : '') + '[' + Verdict.Void + ',' + why + ',0,0,0,0,0]';
  return text + ']';
}
