// A test that somebody stopped says nothing of its luminaires, and it is owed, not overdue, while its next try is planned.
import { Reason } from '../../../firmware/contract/codes';
import type { EventRecord, ResultRecord } from '../../../firmware/contract/messages';
import type { StoppedView } from '../../api/views';
import { isDone, lampResults } from '../../records/result';
import { testKindWord, verdictWord } from '../../words/codes';
import { madeUpBy, type OverdueTimes } from './overdue';

/** A planned test that was stopped on purpose, until one that shows as much has been completed. */
export interface Stopped extends Omit<StoppedView, 'nextAt'> {
  test: number;
  /** Revision of the plan it belongs to. */
  plan: number;
  /** The controller recorded it as overdue, since it had no further try of it; and no other test of this kind. */
  isLast: boolean;
}

const STOPS: Partial<Record<Reason, StoppedView['by']>> = {
  [Reason.OrderedRestore]: 'order',
  [Reason.OrderedHold]: 'order',
  [Reason.KeyHold]: 'key switch',
  [Reason.StopInput]: 'stop input',
};

/** What a reason says somebody stopped a test by; undefined for any other reason. */
export function stoppedBy(reason: Reason): StoppedView['by'] | undefined {
  return STOPS[reason];
}

/**
 * The stopped test that is still owed after one more result.
 * @param at UTC second at which it began
 * @param who who gave the newest order to end a test, '' if nobody did
 */
export function stoppedAfter(
  known: Stopped | null,
  r: ResultRecord,
  at: number,
  who: string,
): Stopped | null {
  const kind = testKindWord(r.type);
  if (isDone(r)) return known && madeUpBy(r.type).includes(known.kind) ? null : known;
  // A test by order is owed to nobody.
  if (r.test === 0) return known;
  const by = stoppedBy(r.end);
  if (by === undefined) return known?.kind === kind ? null : known;
  const rows = lampResults(r);
  const unjudged = rows.filter(({ verdict }) => verdictWord(verdict) === 'void').length;
  return {
    ...{ test: r.test, plan: r.plan, kind, at: at + r.seconds, by, who: by === 'order' ? who : '' },
    ...{ unjudged, luminaires: rows.length, isLast: false },
  };
}

/** The same after a record that a test of a kind is overdue. @param before kinds overdue until then */
export function stoppedAfterOverdue(
  known: Stopped | null,
  { arg, plan }: EventRecord,
  kind: string,
  before: OverdueTimes,
): Stopped | null {
  if (known === null || known.kind !== kind) return known;
  const isThis = arg === known.test && plan === known.plan;
  return { ...known, isLast: isThis && before[known.kind] === undefined };
}

/** Time in which a plan is surely made anew after a test has lost its last try: its window, a day for its result, and more, s. */
const ANEW_SEC = 2 * 86_400;

/**
 * What is overdue, and not only owed because somebody stopped it.
 * @param nextAt UTC second of the next planned test that shows as much, 0 if none is planned
 */
export function claimedOverdue(
  { overdueAt, stopped }: { overdueAt: OverdueTimes; stopped: Stopped | null },
  nextAt: number,
  now: number,
): OverdueTimes {
  if (!stopped?.isLast || (nextAt === 0 && now - stopped.at >= ANEW_SEC)) return overdueAt;
  const left = Object.entries(overdueAt).filter(([kind]) => kind !== stopped.kind);
  return Object.fromEntries(left);
}
