// What the controller reports: state, live readings, replies. Text is built once per message.
import { Phase, StateBit, TestKind, type Verdict } from '../contract/codes';
import { WIRE_VERSION } from '../contract/limits';
import { clockTrust, utcAt } from '../core/clock';
import { hasSupply, isSupplied } from '../core/senses';
import type { Core } from '../core/state';
import { chargedUtc } from '../core/step';
import type { Journal } from '../journal/journal';

function bitsOf(s: Core): number {
  return (
    (hasSupply(s) ? StateBit.SupplyBefore : 0) |
    (isSupplied(s) ? StateBit.SupplyAfter : 0) |
    (s.drive ? StateBit.RelayOpen : 0) |
    (s.red ? StateBit.RedLamp : 0) |
    (s.in.occupied ? StateBit.Occupied : 0)
  );
}

/** State message without its closing brace and signature. */
export function stateText(s: Core, j: Journal, refused: number, now: number): string {
  const isTesting = s.kind !== TestKind.None;
  const since = s.phase === Phase.Brief || s.phase === Phase.Full ? s.startedUtc : 0;
  return (
    '{"v":' +
    (WIRE_VERSION + ',"journal":"' + j.id + '","boot":' + s.boot + ',"up":' + now) +
    (',"utc":' + utcAt(s, now) + ',"clock":' + clockTrust(s, now)) +
    (',"phase":' + s.phase + ',"reason":' + s.reason + ',"waiting":' + s.waiting) +
    (',"bits":' + bitsOf(s) + ',"test":' + (isTesting ? s.test : 0) + ',"type":' + s.kind) +
    (',"since":' + since + ',"charged":' + chargedUtc(s, now)) +
    (',"last":' + j.last + ',"acked":' + j.acked) +
    (',"settings":' + s.set.revision + ',"plan":' + s.planRevision) +
    (',"overdue":' + s.overdue + ',"refused":' + refused)
  );
}

function listOf(values: { [index: number]: number }, count: number): string {
  let text = '[';
  for (let i = 0; i < count; i++) text += (i > 0 ? ',' : '') + values[i];
  return text + ']';
}

/** One reading of every lamp while a test runs. */
export function liveText(s: Core, now: number): string {
  const verdicts: { [index: number]: Verdict } = s.verdict;
  return (
    '{"v":' +
    (WIRE_VERSION + ',"test":' + s.test + ',"type":' + s.kind) +
    (',"t":' + Math.floor((now - s.t0) / 1000)) +
    (',"ma":' + listOf(s.ma, s.set.lampCount)) +
    (',"verdict":' + listOf(verdicts, s.set.lampCount) + '}')
  );
}

/** Answer to an order, without its closing brace and signature. */
export function replyText(counter: number, reason: number): string {
  return (
    '{"v":' +
    WIRE_VERSION +
    ',"counter":' +
    counter +
    ',"ok":' +
    (reason === 0 ? 1 : 0) +
    ',"reason":' +
    reason
  );
}
