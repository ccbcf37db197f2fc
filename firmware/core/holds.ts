// Holds are brought to mind while they last, and told when they are over.
import { Reason } from '../contract/codes';
import { Limit } from '../contract/limits';
import { eventRecord, queueRecord } from './records';
import { isUnsupplied } from './senses';
import { type Core, wakeBy } from './state';

/** A hold is easily forgotten, above all one that keeps the supply away. */
export function remindOfHold(s: Core, now: number): void {
  // After a day without supply every battery is flat: from then on daily is enough, and spares the journal.
  const isUrgent = isUnsupplied(s) && now - s.phaseAt < Limit.HoldReminderMs;
  const at = s.remindedAt + (isUrgent ? Limit.UnsuppliedReminderMs : Limit.HoldReminderMs);
  if (now < at) {
    wakeBy(s, at);
    return;
  }
  s.remindedAt = now;
  queueRecord(s, eventRecord(s, 'reminder', s.reason, Math.floor((now - s.phaseAt) / 1000), now));
  s.dirty = 1;
}

/** A hold by order that waits behind something else and runs out there is told: no restart may revive it. */
export function followHold(s: Core, now: number): void {
  if (now < s.holdUntil) wakeBy(s, s.holdUntil);
  else {
    s.holdUntil = 0;
    queueRecord(s, eventRecord(s, 'released', Reason.OrderedHold, 0, now));
  }
}
