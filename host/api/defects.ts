// Shapes of the answers about defects under /api.
import type { KindWord } from '../words/codes';
import type { LampVerdict } from './views';

/** Longest words that go with a defect or a repair, characters. */
export const REMARK_MAX = 200;

/** What people entered about a defect; '' where nothing is entered. */
export interface CareView {
  owner: string;
  /** Local date, YYYY-MM-DD. */
  due: string;
  interim: string;
  words: string;
  who: string;
  /** UTC second. */
  at: number;
}

/** Whether a repaired luminaire may be tested now, in an engineer's window. */
export interface RetestNow {
  /** The test to start; '' if none may be started now. */
  kind: KindWord;
  /** Why not, and when, in plain sentences; '' if one may be started. */
  why: string;
  /** What that test cannot show; '' if it can close the defect. */
  note: string;
}

/** A defect of a luminaire; or one, or a circuit, that no test has proven for too long. */
export interface DefectView {
  circuit: string;
  /** '' if the whole circuit is meant. */
  luminaire: string;
  place: string;
  /**
   * open: to be repaired; repaired: its retest is due; closed: that has passed; not proven: nothing has failed, but
   * nothing shows that it works either.
   */
  state: 'open' | 'not proven' | 'repaired' | 'closed';
  /** The cause in words: one sentence or several. */
  cause: string;
  /** The newest test that failed, in words; '' if none did. */
  evidence: string;
  /** UTC second since which it is open; 0 if that is not known. */
  since: number;
  /** Civil days from then until now, or until it was closed. */
  days: number;
  /** Log book entry that opened it, 0 if none did. */
  entry: number;
  /** Tests that have failed, and how often it came back after it was closed. */
  fails: number;
  reopened: number;
  care: CareView | null;
  /** Civil days since its due date; 0 if that is not over. */
  overdueDays: number;
  /** Oldest first; `what` is '' if nobody said what was done. */
  repairs: { entry: number; at: number; who: string; what: string }[];
  /** The least test whose pass closes it; '' if it is not proven. */
  needs: KindWord;
  /** UTC second of the next planned test that can close it; 0 if none is planned, or it is open. */
  retestAt: number;
  /** Null unless it is repaired, or where nobody knows what the controllers do. */
  retestNow: RetestNow | null;
  /** What to do next, one sentence; '' if it is closed. */
  next: string;
  /** The newest result, and the newest that proved something; null for a circuit, or if there is none. */
  attempt: LampVerdict | null;
  proven: LampVerdict | null;
  /** The pass that closed it; null while it is not closed. */
  closed: { entry: number; at: number; kind: KindWord } | null;
}

/** How many are not closed. */
export interface DefectCounts {
  /** To be repaired, or repaired. */
  failed: number;
  /** Not proven: luminaires, and circuits as a whole. */
  luminaires: number;
  circuits: number;
  /** Of all of these: past their due dates, repaired and to be tested again, and without an owner. */
  overdue: number;
  toRetest: number;
  ownerless: number;
}

export interface DefectsView {
  /** Not closed: open, repaired, not proven, each the oldest first; no more of them than were asked for. */
  open: DefectView[];
  counts: DefectCounts;
  /** The newest first, a page of them. */
  closed: DefectView[];
  /** Closed ones there are to page through, and older ones that only the log book still has. */
  closedTotal: number;
  forgotten: number;
}
