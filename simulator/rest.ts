// What a controller at rest may sleep through without a difference: its hourly looks at a plan of which nothing
// is due, and the talk of its link while nothing is to be told. For long runs only.
import { Phase, Reason } from '../firmware/contract/codes';
import { type Controller, coreWakeAt, linkDueAt } from '../firmware/controller';
import { clockErrorSec, monotonicOf, utcAt } from '../firmware/core/clock';
import { Column } from '../firmware/core/draft';
import { isPlanOver, SlotState } from '../firmware/core/schedule';
import { hasSupply, isSupplied } from '../firmware/core/senses';
import { type Core, isDischarging, Sense } from '../firmware/core/state';
import { hasUnread } from '../firmware/link/inbox';

/**
 * So long before anything falls due the link speaks, ms: so that the clock is right when the core looks at its
 * plan for the last time before that, within the hour.
 */
const CONTACT_MS = 7200000;

function isAtRest(s: Core): boolean {
  return s.phase === Phase.Charged || s.phase === Phase.Recharging;
}

/** Whether anything but the plan, the recharge and the charge looks may want a step. */
function isSettled(s: Core): boolean {
  return (
    isAtRest(s) &&
    s.waiting === Reason.None &&
    s.outCount === 0 &&
    s.holdUntil === 0 &&
    s.clockFault === 0 &&
    s.clockSet === 1 &&
    s.set.revision > 0 &&
    s.raw[Sense.Before] === 1 &&
    s.raw[Sense.After] === 1 &&
    hasSupply(s) &&
    isSupplied(s) &&
    s.level[Sense.Aux] === s.raw[Sense.Aux] &&
    s.in.key === 0
  );
}

/**
 * First instant at which a slot is going on; the clock's error may only grow until then. In one, the core's very
 * next step matters: an answer may have made the error smaller since the last one, so that it now counts as begun.
 */
function nextSlotAt(s: Core, now: number, utc: number): number {
  const error = clockErrorSec(s, now);
  let next = s.planUntil;
  for (let i = 0; i < s.slotCount; i++) {
    if (s.slotState[i] !== SlotState.Pending) continue;
    const start = s.slots[i * Column.Count + Column.Start] + error;
    const end = s.slots[i * Column.Count + Column.End] + 1;
    if (utc < end) next = Math.min(next, Math.max(start, utc));
  }
  return monotonicOf(s, next);
}

/**
 * When the core must be stepped next, board's ms: as `coreWakeAt`, but later where each of its steps until
 * then would find nothing to do.
 */
export function restWakeAt(c: Controller, now: number): number {
  const s = c.core;
  const wakeAt = coreWakeAt(c);
  if (!isSettled(s) || wakeAt <= now) return wakeAt;
  const utc = utcAt(s, now);
  if (isPlanOver(s, utc)) return wakeAt;
  let next = nextSlotAt(s, now, utc);
  if (s.phase === Phase.Recharging && s.autonomyAt < next) next = s.autonomyAt;
  if (s.chargeAt > 0 && s.chargeAt < next) next = s.chargeAt;
  return Math.max(next, wakeAt);
}

/** Whether the link has more to do than to repeat how things stand. */
function isWanted(c: Controller): boolean {
  const link = c.link;
  return (
    link.online === 0 ||
    link.recordId !== 0 ||
    link.journal.acked < link.journal.last ||
    c.inbox.replyCounter >= 0 ||
    c.core.clockSet === 0 ||
    c.core.planRevision === 0 ||
    c.core.set.revision === 0 ||
    hasUnread(c.inbox)
  );
}

/**
 * When a link that speaks only where it must is given its turn, board's ms: not in a test, at rest when it has
 * records to hand over, and before the core wakes at `coreAt`.
 */
export function restLinkAt(c: Controller, coreAt: number): number {
  const phase = c.core.phase;
  if (phase === Phase.Opening || isDischarging(c.core) || phase === Phase.Restoring)
    return Number.POSITIVE_INFINITY;
  const due = linkDueAt(c);
  return isWanted(c) || due > coreAt - CONTACT_MS ? due : coreAt - CONTACT_MS;
}
