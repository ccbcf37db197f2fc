// When a controller at rest needs its turn: its core when something may be due (core/skip.ts), its link when
// it has more to send than a repeat of its state. For long runs only.
import { Phase } from '../firmware/contract/codes';
import { type Controller, coreWakeAt, linkDueAt } from '../firmware/controller';
import { nextDueAt } from '../firmware/core/skip';
import { isDischarging } from '../firmware/core/state';
import { hasUnread } from '../firmware/link/inbox';

/**
 * How long before anything falls due the link makes contact, ms: so that the clock is right when the core
 * last checks its plan before that, within the hour.
 */
const CONTACT_MS = 7200000;

/**
 * When the core must next be stepped, board's ms: like `coreWakeAt`, but later where every step until then
 * would find nothing to do.
 */
export function restWakeAt(c: Controller, now: number): number {
  const wakeAt = coreWakeAt(c);
  // A waiting record, or a trace being recorded, needs a turn of its own.
  return wakeAt < c.core.wakeAt ? wakeAt : nextDueAt(c.core, now);
}

/** Whether the link has more to do than repeat its state. */
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

/** Whether a test leaves the link no turn. */
function isTesting({ core }: Controller): boolean {
  return core.phase === Phase.Opening || isDischarging(core) || core.phase === Phase.Restoring;
}

/**
 * When a link that sends only what it must gets its turn, board's ms: never during a test, at rest when it
 * has records to deliver, and before the core wakes at `coreAt`.
 */
export function restLinkAt(c: Controller, coreAt: number): number {
  if (isTesting(c)) return Number.POSITIVE_INFINITY;
  const due = linkDueAt(c);
  return isWanted(c) || due > coreAt - CONTACT_MS ? due : coreAt - CONTACT_MS;
}

/** Whether that instant has come. The core is asked last, because its answer takes longest. */
export function isRestLinkDue(c: Controller, now: number): boolean {
  if (isTesting(c) || now < linkDueAt(c)) return false;
  return isWanted(c) || now >= restWakeAt(c, now) - CONTACT_MS;
}
