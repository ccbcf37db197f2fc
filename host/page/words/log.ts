// The log book's kinds in words, and pages of it put together without gap or double.
import type { LogEntryView } from '../../api/views';
import type { Tone } from './tone';

/** Kinds of record that exist, with what a person calls them. */
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
  ['start', 'Controller start'],
  ['attended', 'Engineer working'],
  ['baseline', 'Lamp currents accepted'],
  ['repaired', 'Repair'],
];

/** The word for a kind; an unknown kind is shown as it is. */
export function kindWord(kind: string): string {
  return LOG_KINDS.find(([k]) => k === kind)?.[1] ?? kind;
}

/** Tone of a mark. */
export function markTone(mark: LogEntryView['mark']): Tone {
  if (mark === 'pass') return 'good';
  return mark === 'fail' || mark === 'alarm' ? 'fault' : 'idle';
}

/**
 * Newest page `head` put in front of what is already shown, newest first, each entry once. When the two
 * do not touch, entries lie between them that nobody has fetched: then only `head` is kept.
 */
export function withHead(shown: LogEntryView[], head: LogEntryView[], pageSize: number): LogEntryView[] {
  const known = new Set(shown.map((e) => e.entry));
  const touches = head.length < pageSize || head.some((e) => known.has(e.entry));
  return touches ? merged(shown, head) : head;
}

/** Two lists as one, newest first, each entry once. */
export function merged(a: LogEntryView[], b: LogEntryView[]): LogEntryView[] {
  const byEntry = new Map([...a, ...b].map((e) => [e.entry, e]));
  return [...byEntry.values()].sort((x, y) => y.entry - x.entry);
}
