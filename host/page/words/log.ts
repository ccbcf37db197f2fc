// The kinds of log book entries in words, and its pages joined without gaps or duplicates.
import type { LogEntryView } from '../../api/views';
import type { Tone } from './tone';

/** Kinds of record, with the words people use for them. */
export const LOG_KINDS: [string, string][] = [
  ['result', 'Test result'],
  ['intent', 'Test started'],
  ['fault', 'Fault or alarm'],
  ['cleared', 'Fault cleared'],
  ['outage', 'Mains outage'],
  ['supply', 'Supply alarm'],
  ['charge', 'Charging'],
  ['held', 'On hold'],
  ['reminder', 'Still on hold'],
  ['released', 'Hold released'],
  ['overdue', 'Test overdue'],
  ['order', 'Order'],
  ['refused', 'Order refused'],
  ['clock', 'Clock'],
  ['chip', 'Clock chip'],
  ['start', 'Controller start'],
  ['attended', 'Engineer working'],
  ['baseline', 'Lamp currents accepted'],
  ['repaired', 'Repair'],
  ['listed', 'Luminaires of a circuit'],
];

/** The word for a kind; an unknown kind is shown as is. */
export function kindWord(kind: string): string {
  return LOG_KINDS.find(([k]) => k === kind)?.[1] ?? kind;
}

/** Tone of a mark. */
export function markTone(mark: LogEntryView['mark']): Tone {
  if (mark === 'pass') return 'good';
  return mark === 'fail' || mark === 'alarm' ? 'fault' : 'idle';
}

/**
 * Newest page `head` put before what is already shown, newest first, each entry once. If the two do not meet,
 * entries in between were never fetched: then only `head` is kept.
 */
export function withHead(shown: LogEntryView[], head: LogEntryView[], pageSize: number): LogEntryView[] {
  const known = new Set(shown.map((e) => e.entry));
  const touches = head.length < pageSize || head.some((e) => known.has(e.entry));
  return touches ? merged(shown, head) : head;
}

/** Two lists merged, newest first, each entry once. */
export function merged(a: LogEntryView[], b: LogEntryView[]): LogEntryView[] {
  const byEntry = new Map([...a, ...b].map((e) => [e.entry, e]));
  return [...byEntry.values()].sort((x, y) => y.entry - x.entry);
}
