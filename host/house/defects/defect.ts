// One defect of a luminaire, from the fail that opened it to the pass that closed it; pure.
import { Reason } from '../../../firmware/contract/codes';
import type { KindWord } from '../../words/codes';
import { SHOWS } from '../history/lamps';
import type { Care } from '../notes/care';

/**
 * What fails for one cause is one defect: the light on battery (battery, lamp, charger), whatever is seen of it;
 * the light on mains; anything this host has no name for.
 */
export type Cause = 'battery light' | 'mains light' | 'other';

export type TestWord = Exclude<KindWord, ''>;

/** Where a record stands among those of its journal. */
export interface Mark {
  /** Address and name of the journal. */
  journal: string;
  seq: number;
  /** Number of its entry in the log book. */
  entry: number;
}

/** A failed row of a result. */
export interface Fail extends Mark {
  /** UTC second at which the test began. */
  at: number;
  kind: TestWord;
  reason: number;
  /** How long the lamp was lit, s. */
  litSec: number;
}

/** A passed row of a result. */
export type Pass = Omit<Fail, 'reason' | 'litSec'>;

/** A repair that was entered. */
export interface Mended {
  entry: number;
  /** UTC second. */
  at: number;
  who: string;
  /** What was done; '' if nobody said. */
  what: string;
  /** The test it owes. */
  owes: TestWord;
}

export interface Defect {
  luminaire: string;
  cause: Cause;
  /** The fail that opened it, or the one that reopened it last. */
  opened: Fail;
  /** The newest fail: what is known of it. */
  last: Fail;
  /** How many tests have failed. */
  fails: number;
  /** How often it came back after it was closed. */
  reopened: number;
  /** The longest kind of test that has failed. */
  failed: TestWord;
  /** The least test whose pass closes it. */
  needs: TestWord;
  /** The newest repairs, oldest first. */
  repairs: Mended[];
  /** What people entered about it; null before. */
  care: Care | null;
  /** The pass that closed it; null while it is open. */
  closed: Pass | null;
}

export type DefectState = 'open' | 'repaired' | 'closed';

/**
 * A luminaire that fails again for the same cause within so many days has the same defect again: three monthly
 * function tests (our choice, no source).
 */
export const REOPEN_DAYS = 90;
const DAY_SEC = 86_400;
/** Repairs kept per defect. */
export const REPAIRS_MAX = 8;

const CAUSES: Partial<Record<Reason, Cause>> = {
  [Reason.NotLitAtFiveSeconds]: 'battery light',
  [Reason.SlowStart]: 'battery light',
  [Reason.NotFullAtSixtySeconds]: 'battery light',
  [Reason.EndedEarly]: 'battery light',
  [Reason.Flickers]: 'battery light',
  [Reason.LitOnMains]: 'mains light',
  [Reason.DarkOnMains]: 'mains light',
};

export function causeOf(reason: number): Cause {
  return CAUSES[reason as Reason] ?? 'other';
}

/** The one of two kinds of test that shows more. */
function longer(a: TestWord, b: TestWord): TestWord {
  return SHOWS[a] >= SHOWS[b] ? a : b;
}

/**
 * Whether one record was written after another. Within a journal its own numbers tell, because records that were
 * lost on the way arrive later; clocks do not.
 */
export function isAfter(one: Mark, other: Mark): boolean {
  return one.journal === other.journal ? one.seq > other.seq : one.entry > other.entry;
}

/** A repair counts from the moment it was entered; a test that began before says nothing about it. */
function isRepairedAfter({ at, entry }: Mended, fail: Fail): boolean {
  return entry > fail.entry || at >= fail.at;
}

/** open: to be repaired; repaired: a test that shows whether it helped is due; closed: that has passed. */
export function stateOf({ closed, repairs, last }: Defect): DefectState {
  if (closed) return 'closed';
  const repair = repairs[repairs.length - 1];
  return repair && isRepairedAfter(repair, last) ? 'repaired' : 'open';
}

/** The repair that did not help: entered while it was open, and a test has failed since; undefined if there is none. */
export function failedRepair(defect: Defect): Mended | undefined {
  const { repairs, opened } = defect;
  const repair = repairs[repairs.length - 1];
  return repair && stateOf(defect) === 'open' && isRepairedAfter(repair, opened) ? repair : undefined;
}

/** A new defect. @param repair the luminaire's newest, which a fail that arrives late may precede */
export function openedBy(fail: Fail, luminaire: string, repair: Mended | null): Defect {
  const isRepaired = repair !== null && isRepairedAfter(repair, fail);
  return {
    ...{ luminaire, cause: causeOf(fail.reason), opened: fail, last: fail, fails: 1, reopened: 0 },
    ...{ failed: fail.kind, needs: isRepaired ? longer(fail.kind, repair.owes) : fail.kind },
    ...{ repairs: isRepaired ? [repair] : [], care: null, closed: null },
  };
}

/** Whether a fail means that a closed defect has come back. */
export function isBack({ closed }: Defect, fail: Fail): boolean {
  return closed !== null && fail.at - closed.at <= REOPEN_DAYS * DAY_SEC;
}

/** A closed defect that came back. Its owner stays; what was agreed for the time before does not. */
export function reopenedBy(defect: Defect, fail: Fail): Defect {
  const { care } = defect;
  return {
    ...defect,
    ...{ opened: fail, last: fail, fails: defect.fails + 1, reopened: defect.reopened + 1 },
    ...{ failed: fail.kind, needs: fail.kind, closed: null },
    care: care && { ...care, due: '', interim: '', words: '' },
  };
}

/** One more fail of an open defect. */
export function failedAgain(defect: Defect, fail: Fail): Defect {
  return {
    ...defect,
    ...{ last: isAfter(fail, defect.last) ? fail : defect.last, fails: defect.fails + 1 },
    failed: longer(defect.failed, fail.kind),
    needs: longer(defect.needs, fail.kind),
  };
}

export function repairedBy(defect: Defect, repair: Mended): Defect {
  return {
    ...defect,
    repairs: [...defect.repairs, repair].slice(-REPAIRS_MAX),
    needs: longer(defect.needs, repair.owes),
  };
}

/** Without a repair that was withdrawn, and without the test that it owed. */
export function withoutRepair(defect: Defect, entry: number): Defect {
  const repairs = defect.repairs.filter((one) => one.entry !== entry);
  if (repairs.length === defect.repairs.length) return defect;
  const counting = repairs.filter((one) => isRepairedAfter(one, defect.opened));
  return {
    ...defect,
    repairs,
    needs: counting.reduce((kind, { owes }) => longer(kind, owes), defect.failed),
  };
}

/** Whether a pass closes an open defect: it shows enough, and is newer than the last fail and the last repair. */
export function isClosedBy({ last, repairs, needs }: Defect, pass: Pass): boolean {
  const repair = repairs[repairs.length - 1];
  const isProof = SHOWS[pass.kind] >= SHOWS[needs] && isAfter(pass, last);
  return isProof && (!repair || pass.at >= repair.at);
}
