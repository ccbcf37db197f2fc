// Reminders of holds while they last, and a record when they end.
import { Reason } from '../contract/codes';
import { Limit } from '../contract/limits';
import { eventRecord, queueRecord } from './records';
import { isUnsupplied } from './senses';
import { type Core, wakeBy } from './state';

/** A hold is easily forgotten, and one that keeps the supply off matters most. */
export function remindOfHold(s: Core, now: number): void {
  // After a day without supply every battery is flat: from then on a daily reminder is enough, and spares the
  // journal.
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

/** Logs a hold by order that expires while queued, so a restart cannot revive it. */
export function followHold(s: Core, now: number): void {
  if (now < s.holdUntil) wakeBy(s, s.holdUntil);
  else {
    s.holdUntil = 0;
    queueRecord(s, eventRecord(s, 'released', Reason.OrderedHold, 0, now));
  }
}
