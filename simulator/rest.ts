// When a controller at rest must be given its turn: its core when something can be due (core/skip.ts), its link when
// it has more to say than how things stand. For long runs only.
import { Phase } from '../firmware/contract/codes';
import { type Controller, coreWakeAt, linkDueAt } from '../firmware/controller';
import { nextDueAt } from '../firmware/core/skip';
import { isDischarging } from '../firmware/core/state';
import { hasUnread } from '../firmware/link/inbox';

/**
 * So long before anything falls due the link speaks, ms: so that the clock is right when the core looks at its
 * plan for the last time before that, within the hour.
 */
const CONTACT_MS = 7200000;

/**
 * When the core must be stepped next, board's ms: as `coreWakeAt`, but later where each of its steps until
 * then would find nothing to do.
 */
export function restWakeAt(c: Controller, now: number): number {
  const wakeAt = coreWakeAt(c);
  // A record that waits, or a trace that is taken down, has a turn of its own.
  return wakeAt < c.core.wakeAt ? wakeAt : nextDueAt(c.core, now);
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
