// What became of an order after its answer: from the controller's state and from the log book.
import { OrderKind, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { ResultColumn } from '../../../firmware/contract/lamps';
import { isHeard } from '../../api/phases';
import type { ControllerStatus, LogEntryView, OrderName } from '../../api/views';
import type { SAID } from '../tongues/said';
import { t } from '../tongues/tongue';
import { heldWords, sensed } from './contact';
import { hostWords } from './hostWords';
import { dayAndTime, nearTime } from './time';
import { isTesting, type Tone } from './tone';

/** An order given from this page. */
export interface Followed {
  circuit: string;
  order: OrderName;
  /** Empty if the order is for the whole circuit. */
  luminaire: string;
  /** Kind of the test ordered; '' for other orders. */
  kind: ControllerStatus['kind'];
  /** Who gave it. */
  who: string;
  /** Number of the newest log book entry before it was given. */
  after: number;
  ok: boolean;
  /** True if it is not known whether the controller took it. */
  unanswered: boolean;
  /** True if there was no supply to restore. */
  nothingToDo: boolean;
  answer: string;
  /** When it was given, ms of this browser's steady clock. */
  givenMs: number;
}

/** Code of an order to a controller; the host itself handles the others. */
const CODES: Partial<Record<OrderName, OrderKind>> = {
  restore: OrderKind.Restore,
  hold: OrderKind.Hold,
  release: OrderKind.Release,
  'clear fault': OrderKind.ClearFault,
  test: OrderKind.Test,
  extend: OrderKind.Extend,
};

const KINDS: Record<Exclude<Followed['kind'], ''>, TestKind> = {
  brief: TestKind.Brief,
  full: TestKind.Full,
  limited: TestKind.Limited,
  commissioning: TestKind.Commissioning,
};

/** Fields of results and of entries about orders, as far as they are needed here. */
interface Fields {
  counter?: number;
  do?: number;
  arg?: number;
  reason?: number;
  who?: string;
  /** Test number and kind in a result; a test by order has the number 0. */
  test?: number;
  type?: number;
  lamps?: number[][];
  /** Why a test ended. */
  end?: number;
}

interface Read {
  entry: LogEntryView;
  fields: Fields;
}

function read(entry: LogEntryView): Read {
  try {
    return { entry, fields: JSON.parse(entry.body) as Fields };
  } catch {
    return { entry, fields: {} };
  }
}

function kindCode({ kind }: Pick<Followed, 'kind'>): number | undefined {
  return kind === '' ? undefined : KINDS[kind];
}

/** True if an entry names who gave the order, and what it was. */
function isNamed(followed: Pick<Followed, 'order' | 'kind' | 'who'>, { fields }: Read): boolean {
  const kind = kindCode(followed);
  return (
    fields.who === followed.who &&
    fields.do === CODES[followed.order] &&
    (kind === undefined || fields.arg === kind)
  );
}

/**
 * Number of the newest entry before an order to restore a supply, which is sent before the log book is asked: what came
 * of it may be there already.
 * @param entries of its circuit, newest first
 * @param since UTC second of the site from which on it was given
 */
export function newestBefore(entries: readonly LogEntryView[], who: string, since: number): number {
  const wish = { order: 'restore', kind: '', who } as const;
  const mine = entries.filter(
    (entry) => entry.kind === 'ordered' && entry.at >= since && isNamed(wish, read(entry)),
  );
  const oldest = mine[mine.length - 1];
  return oldest ? oldest.entry - 1 : (entries[0]?.entry ?? 0);
}

/** What the log book says of an order: another one on the same circuit is not its answer. */
interface Answer {
  /** The controller took it. */
  isTaken: boolean;
  refused: LogEntryView | undefined;
  result: LogEntryView | undefined;
}

/** Entries after the controller took the order; of a test, up to the next test that it was ordered to make. */
function begunBy({ order }: Followed, since: Read[], taken: number): Read[] {
  if (taken < 0) return [];
  const after = since.slice(taken + 1);
  if (order !== 'test') return after;
  const isNext = ({ entry, fields }: Read) =>
    entry.kind === 'order' && fields.do === OrderKind.Test && fields.reason === Reason.None;
  const next = after.findIndex(isNext);
  return next < 0 ? after : after.slice(0, next);
}

/** @param entries those since it was given, oldest first */
function answerIn(followed: Followed, entries: LogEntryView[]): Answer {
  const { order } = followed;
  const since = entries.map(read);
  const ordered = since.find((one) => one.entry.kind === 'ordered' && isNamed(followed, one));
  const counter = ordered?.fields.counter;
  // A refusal on arrival repeats only the order's number.
  const answer = since.find(
    (one) =>
      (one.entry.kind === 'order' && counter === undefined && isNamed(followed, one)) ||
      // By its number: a controller keeps names without accents.
      (['order', 'refused'].includes(one.entry.kind) &&
        counter !== undefined &&
        one.fields.counter === counter),
  );
  const isTaken = answer?.entry.kind === 'order' && answer.fields.reason === Reason.None;
  const begun = begunBy(followed, since, answer && isTaken ? since.indexOf(answer) : -1);
  const code = kindCode(followed);
  const calledOff = begun.find(
    ({ entry, fields }) =>
      entry.kind === 'refused' && fields.counter === 0 && fields.do === OrderKind.Test && fields.arg === code,
  );
  const hasResult = order === 'test' || order === 'restore' || order === 'extend';
  const result = begun.find(
    ({ entry, fields }) =>
      entry.kind === 'result' && (order !== 'test' || (fields.test === 0 && fields.type === code)),
  );
  return {
    isTaken,
    refused: answer && !isTaken ? answer.entry : calledOff?.entry,
    result: hasResult ? result?.entry : undefined,
  };
}

function testWords(status: ControllerStatus): string {
  if (isTesting(status)) return t.progress.soFar(hostWords(status.sentence));
  if (status.waiting !== '') return t.progress.waiting(hostWords(status.waiting));
  return t.progress.waitingResult;
}

function isBack(status: ControllerStatus): boolean {
  return isHeard(status) && status.supplyAfter === true && status.relayOpen === false;
}

/** Why a test ended, in the host's sentence about its result: a record of a controller names nobody. */
const UNNAMED = 'Someone ordered the supply to be restored.' satisfies (typeof SAID)[number];

/**
 * A test that was ended before any luminaire was judged has no result worth reading. Who ended it is known here:
 * whoever gave the order that the controller took.
 */
function endedWords(
  { who }: Followed,
  entry: LogEntryView,
  { stopped: owed }: ControllerStatus,
  now: number,
  zone: string,
): string {
  const { lamps = [], test = 0, end } = read(entry).fields;
  const stopped = t.progress.stopped(who, nearTime(entry.at, now, zone));
  const isEmpty = lamps.length > 0 && lamps.every((row) => row[ResultColumn.Verdict] === Verdict.Void);
  if (!isEmpty) return t.progress.result(hostWords(entry.text).replace(hostWords(UNNAMED), () => stopped));
  const again =
    owed && owed.nextAt > 0 ? t.progress.againAt(dayAndTime(owed.nextAt, zone)) : t.progress.again;
  return [
    end === Reason.OrderedRestore ? stopped : '',
    t.progress.nothingJudged,
    // Ordered by hand: nobody repeats it.
    test > 0 ? again : '',
  ]
    .filter((words) => words !== '')
    .join(' ');
}

/** A state without the retest may be older than the repair; only a result shows that there was a test. */
function retestWords(
  { luminaire }: Followed,
  { retests }: ControllerStatus,
  isTested: boolean,
  zone: string,
): string {
  const retest = retests.find((one) => one.luminaire === luminaire);
  if (!retest && isTested) return t.progress.testedSince;
  return retest && retest.at > 0 ? t.progress.retestAt(dayAndTime(retest.at, zone)) : t.progress.retestOpen;
}

function stateWords({ order }: Followed, status: ControllerStatus, now: number, zone: string): string {
  if (order === 'attend' || order === 'leave' || order === 'accept') return '';
  if (order === 'restore') return isBack(status) ? t.progress.waitingTest : '';
  if (!isHeard(status)) return t.progress.silent;
  if (order === 'test' || order === 'extend') return testWords(status);
  const isDone = (order === 'hold') === (status.phase === 'held');
  if (order === 'hold')
    return isDone ? t.progress.held(heldWords(status, now, zone) || t.progress.onHold) : t.progress.notHeld;
  const done = t.progress.done(hostWords(status.sentence));
  if (order === 'release') return isDone ? done : t.progress.stillHeld;
  return status.phase === 'fault' ? t.progress.notCleared : done;
}

/**
 * What has become of an order, in one or two sentences; '' if its answer says all.
 * @param entries of its circuit, newest first
 */
export function progressWords(
  followed: Followed,
  status: ControllerStatus,
  entries: readonly LogEntryView[],
  now: number,
  zone: string,
): string {
  const since = entries.filter(({ entry }) => entry > followed.after).reverse();
  const { isTaken, refused, result } = answerIn(followed, since);
  if (result && followed.order === 'restore') return endedWords(followed, result, status, now, zone);
  if (result) return t.progress.result(hostWords(result.text));
  if (!followed.ok && !followed.unanswered) return '';
  if (refused) return hostWords(refused.text);
  if (followed.unanswered && !isTaken) return t.progress.notShown;
  const isTested = since.some(({ kind, mark }) => kind === 'result' && mark !== 'void');
  if (followed.order === 'repaired') return retestWords(followed, status, isTested, zone);
  return stateWords(followed, status, now, zone);
}

/** Where the supply and the relay are; '' after an entry that moves neither, and where the first line says it. */
export function supplyWords({ order }: Pick<Followed, 'order'>, status: ControllerStatus): string {
  if (order === 'repaired' || (order === 'restore' && isBack(status))) return '';
  return t.contact.senses(
    sensed(status.supplyAfter, [t.contact.on, t.contact.off], status),
    sensed(status.relayOpen, [t.contact.open, t.contact.closed], status),
  );
}

/** "order accepted.", "repair not recorded.", or that there is no answer. */
function answerWords({ order, ok, unanswered }: Followed): string {
  if (unanswered) return t.progress.noAnswer;
  if (order === 'repaired') return ok ? t.progress.recorded : t.progress.notRecorded;
  return ok ? t.progress.accepted : t.progress.notAccepted;
}

export interface Headline {
  words: string;
  tone: Tone;
}

/** The supply of a circuit of which it was just ordered back. */
export function supplyState(status: ControllerStatus): string {
  if (isBack(status)) return t.progress.back;
  return status.phase === 'fault' || status.phase === 'outage'
    ? t.progress.notBack
    : t.progress.waitingSupply;
}

/** What counts after an order to restore is the supply; undefined where only the answer is known. */
function supplyHeadline(
  { unanswered, nothingToDo, after }: Followed,
  status: ControllerStatus,
  entries: readonly LogEntryView[],
): Headline | undefined {
  const { alreadyBack, restored } = t.progress;
  const words = supplyState(status);
  // The supply is on, and the test about to cut it: nobody knows whether the order called it off.
  if (unanswered && status.phase === 'opening') return undefined;
  if (isBack(status)) return { words: nothingToDo ? alreadyBack : words, tone: 'good' };
  if (!isHeard(status)) return unanswered ? undefined : { words: t.progress.silent, tone: 'busy' };
  if (status.phase === 'fault' || status.phase === 'outage') return { words, tone: 'fault' };
  // Off again: a later test cut it.
  if (entries.some((one) => one.kind === 'result' && one.entry > after))
    return { words: restored, tone: 'idle' };
  return unanswered ? undefined : { words, tone: 'idle' };
}

/** The first line about an order, and its tone. @param entries of its circuit, newest first */
export function headlineOf(
  followed: Followed,
  status: ControllerStatus | undefined,
  entries: readonly LogEntryView[],
): Headline {
  const { order, ok, unanswered, nothingToDo } = followed;
  const isAboutSupply = order === 'restore' && (ok || unanswered || nothingToDo);
  const told = isAboutSupply && status ? supplyHeadline(followed, status, entries) : undefined;
  return told ?? { words: answerWords(followed), tone: ok ? 'good' : unanswered ? 'busy' : 'fault' };
}
