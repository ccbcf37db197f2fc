// The kinds of log book entries in words, and its pages joined without gaps or duplicates.
import type { ChainView, LogbookView, LogEntryView } from '../../api/views';
import { t } from '../tongues/tongue';
import { hostWords } from './hostWords';
import { dayAndTime } from './time';
import type { Tone } from './tone';

type LogKind = keyof typeof t.log.kinds;

/** Kinds of record, with the words people use for them; `failed` are the results with a failed luminaire. */
export function logKinds(): [string, string][] {
  return Object.entries(t.log.kinds);
}

/** The word for a kind; an unknown kind is shown as is. */
export function kindWord(kind: string): string {
  return t.log.kinds[kind as LogKind] ?? kind;
}

/** What is known of the chain, and of which entries. Valid is said only of all of them. */
export function chainWords(chain: ChainView, zone: string): { tone: Tone; word: string; text: string } {
  const { checked, entries, at, broken } = chain;
  if (broken)
    return {
      ...{
        tone: 'fault',
        word: broken.entry > 0 ? t.log.brokenAt(broken.entry) : t.log.broken,
      },
      text: `${hostWords(broken.why)} ${t.log.keepFile}`,
    };
  if (checked < entries || at === 0)
    return {
      ...{ tone: 'idle', word: t.log.checkedTo(checked, entries) },
      text: t.log.restChecked,
    };
  const range = entries === 1 ? t.log.entry(1) : t.log.entries(1, entries);
  return {
    ...{ tone: 'good', word: entries === 0 ? t.log.validNone : t.log.valid(range) },
    text: t.log.checkedAt(dayAndTime(at, zone)),
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
  const rest = lookedTo > 0 ? ` ${t.log.notLooked(lookedTo)}` : '';
  if (shown.length === 0) return rest === '' ? t.log.noneOfKind : `${t.log.noneFound}${rest}`;
  const [newest, oldest] = [shown[0].entry, shown[shown.length - 1].entry];
  const range = newest === oldest ? t.log.entry(newest) : t.log.entries(oldest, newest);
  if (total === null) return `${t.log.shown(shown.length, range)}${rest}`;
  return shown.length < total ? t.log.shownOf(shown.length, total, range) : t.log.shownAll(total);
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
