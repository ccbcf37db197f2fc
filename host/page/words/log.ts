// The kinds of log book entries in words, and its pages joined without gaps or duplicates.
import type { ChainView, LogbookView, LogEntryView } from '../../api/views';
import { dayAndTime } from './time';
import type { Tone } from './tone';

/** Kinds of record, with the words people use for them; `failed` are the results with a failed luminaire. */
export const LOG_KINDS: [string, string][] = [
  ['failed', 'Failed test'],
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
  ['order', 'Order at the controller'],
  ['refused', 'Order refused'],
  ['ordered', 'Order sent'],
  ['answered', 'Order answered'],
  ['kept', 'Kept apart'],
  ['clock', 'Clock set'],
  ['chip', 'Clock chip'],
  ['start', 'Controller start'],
  ['attended', 'Engineer working'],
  ['baseline', 'Lamp currents accepted'],
  ['repaired', 'Repair'],
  ['defect', 'Who sees to a defect'],
  ['inspection', 'Looked at by people'],
  ['site', 'Site changed'],
  ['listed', 'Luminaires of a circuit'],
];

/** The word for a kind; an unknown kind is shown as is. */
export function kindWord(kind: string): string {
  return LOG_KINDS.find(([k]) => k === kind)?.[1] ?? kind;
}

/** What is known of the chain, and of which entries. Valid is said only of all of them. */
export function chainWords(chain: ChainView, zone: string): { tone: Tone; word: string; text: string } {
  const { checked, entries, at, broken } = chain;
  if (broken)
    return {
      ...{
        tone: 'fault',
        word: broken.entry > 0 ? `Chain broken at entry ${broken.entry}.` : 'Chain broken.',
      },
      text: `${broken.why} Keep the file unchanged and run “logbook verify” for all that is wrong.`,
    };
  if (checked < entries || at === 0)
    return {
      ...{ tone: 'idle', word: `Chain checked to entry ${checked} of ${entries} so far` },
      text: 'The rest is being checked.',
    };
  const range = entries === 1 ? 'entry 1' : `entries 1 to ${entries}`;
  return {
    ...{ tone: 'good', word: entries === 0 ? 'Chain valid, no entries yet' : `Chain valid, ${range}` },
    text: `Checked ${dayAndTime(at, zone)}. Signatures and the file itself are checked by “logbook verify”.`,
  };
}

/**
 * Which entries a page shows, so that a print does not seem to be the whole log book. Of entries that were searched
 * for, it says how far.
 */
export function shownWords(
  shown: readonly LogEntryView[],
  { total, lookedTo }: Pick<LogbookView, 'total' | 'lookedTo'>,
): string {
  const rest = lookedTo > 0 ? ` Entries before ${lookedTo} have not been looked at.` : '';
  if (shown.length === 0) return rest === '' ? 'No entries of this kind.' : `None found.${rest}`;
  const [newest, oldest] = [shown[0].entry, shown[shown.length - 1].entry];
  const range = newest === oldest ? `entry ${newest}` : `entries ${oldest} to ${newest}`;
  if (total === null) return `Shown here: ${shown.length}, ${range}.${rest}`;
  return shown.length < total
    ? `Shown here: ${shown.length} of ${total}, ${range}.`
    : `Shown here: all ${total}.`;
}

/** What a page shows, and how far down it was looked for; see `LogbookView.lookedTo`. */
export interface Shown {
  entries: LogEntryView[];
  lookedTo: number;
}

/** Before the first answer. */
export const NOTHING_SHOWN: Shown = { entries: [], lookedTo: Number.POSITIVE_INFINITY };

/** The newest page put before what is shown, see `withHead`; what was looked at before need not be again. */
export function withNewest(
  shown: Shown,
  head: Pick<LogbookView, 'entries' | 'lookedTo'>,
  pageSize: number,
): Shown {
  const entries = withHead(shown.entries, head.entries, pageSize);
  const isAnew = entries === head.entries;
  return { entries, lookedTo: isAnew ? head.lookedTo : Math.min(shown.lookedTo, head.lookedTo) };
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
