// What people look at, as JSON: GET /api/duties (DutiesView), POST /api/inspections (InspectionRequest ->
// InspectionOutcome). Times are UTC seconds.

export interface DutyView {
  id: string;
  title: string;
  /** Who may do it. */
  by: string;
  /** In the words of its source. */
  what: string;
  /** The source and how far to trust it, e.g. "EN 50172:2004, restated by contractors, 7.2: from a summary". */
  source: string;
  /** "every month". */
  every: string;
  /** True if it may be done for a part of the site. */
  byLuminaire: boolean;
  points: { id: string; words: string }[];
  /** Local date, "YYYY-MM-DD"; '' if it is done for good. */
  due: string;
  state: 'overdue' | 'due' | 'soon' | 'later' | 'done';
  /** Civil days from today to `due`, negative if overdue; 0 if it is done for good. */
  days: number;
  /** "overdue by 3 days", "due today", "due in 5 days", "done". */
  dueWords: string;
  /** The newest time any of it was done; null if never. */
  last: { who: string; done: number } | null;
  /** Ids of the first luminaires still to see, where only a part of the site has been seen since, and how many they are. */
  left: string[];
  leftCount: number;
}

/** Something that was found not in order, and has not been entered as in order since. */
export interface FindingView {
  /** Title of the duty. */
  duty: string;
  asked: string;
  /** Id of the luminaire; '' if none was named. */
  luminaire: string;
  /** The part that was looked at, in words. */
  where: string;
  words: string;
  who: string;
  since: number;
}

export interface DutiesView {
  /** Those due first in front. */
  duties: DutyView[];
  /** The oldest first. */
  findings: FindingView[];
}

export type AnswerMark = 'in order' | 'not in order' | 'not applicable';

export interface InspectionRequest {
  /** Made once where it is entered: 8 to 40 letters, digits and hyphens. The same is never stored twice. */
  id: string;
  /** Id of the building it is about; left out by earlier pages. */
  site?: string | undefined;
  /** The account of who filled it in; left out where nobody had to sign in. */
  account?: string | undefined;
  duty: string;
  who: string;
  /** UTC second at which it was done. */
  done: number;
  /** "site", "area ID", "circuit ID" or "luminaire ID". */
  scope: string;
  /** One for each point of the duty. */
  points: { point: string; mark: AnswerMark; luminaires: string[]; words: string }[];
  words: string;
}

export interface InspectionOutcome {
  /** True only if the log book has it on its disk, stored now or before. */
  ok: boolean;
  /** The id of the request, so that no other answer can be taken for this one; '' if it had none. */
  id: string;
  /** True if it can never be stored as it is; otherwise it may be sent again. */
  refused: boolean;
  /** Plain words. */
  answer: string;
}
