// What became of an order after its answer: from the controller's state and from the log book.
import type { ControllerStatus, LogEntryView, OrderName } from '../../api/views';
import { heldWords } from './contact';
import { dayAndTime } from './time';
import { isHeard, isTesting } from './tone';

/** An order given from this page. */
export interface Followed {
  circuit: string;
  order: OrderName;
  /** Empty if the order is for the whole circuit. */
  luminaire: string;
  /** Number of the newest log book entry before it was given. */
  after: number;
  ok: boolean;
  /** True if it is not known whether the controller took it. */
  unanswered: boolean;
  answer: string;
}

/** Test number in a result's record; a test by order has 0. */
function testOf({ body }: LogEntryView): number | undefined {
  try {
    return (JSON.parse(body) as { test?: number }).test;
  } catch {
    return undefined;
  }
}

/** The result that ends what the order began: of a test by order, or of the test it was about. */
function resultOf({ order }: Followed, since: LogEntryView[]): LogEntryView | undefined {
  if (order !== 'test' && order !== 'restore' && order !== 'extend') return undefined;
  return since.find((entry) => entry.kind === 'result' && (order !== 'test' || testOf(entry) === 0));
}

function testWords(status: ControllerStatus): string {
  if (isTesting(status)) return `So far: ${status.sentence}`;
  if (status.waiting !== '') return `Waiting: ${status.waiting}`;
  return 'Waiting for its result.';
}

function restoreWords(status: ControllerStatus): string {
  const isBack = status.supplyAfter === true && status.relayOpen === false;
  return isBack ? 'The supply is back. Waiting for the result of the test.' : 'The supply is not back yet.';
}

function retestWords(status: ControllerStatus, luminaire: string, zone: string): string {
  const retest = status.retests.find((one) => one.luminaire === luminaire);
  if (!retest) return 'It has been tested since; its state is on its page.';
  return retest.at > 0
    ? `The retest is planned for ${dayAndTime(retest.at, zone)}.`
    : 'The retest is being planned.';
}

function stateWords(
  { order, luminaire }: Followed,
  status: ControllerStatus,
  now: number,
  zone: string,
): string {
  if (order === 'repaired') return retestWords(status, luminaire, zone);
  if (order === 'attend' || order === 'leave' || order === 'accept') return '';
  if (!isHeard(status)) return 'What became of it is not known: the controller is silent.';
  if (order === 'test' || order === 'extend') return testWords(status);
  if (order === 'restore') return restoreWords(status);
  const isDone = (order === 'hold') === (status.phase === 'held');
  if (order === 'hold')
    return isDone ? `Done: ${heldWords(status, now, zone) || 'on hold'}.` : 'Not on hold yet.';
  if (order === 'release') return isDone ? `Done. ${status.sentence}` : 'Still on hold.';
  return status.phase === 'fault' ? 'The fault is not cleared yet.' : `Done. ${status.sentence}`;
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
  const result = resultOf(followed, since);
  if (result) return `Result: ${result.text}`;
  const refused = since.find(({ kind }) => kind === 'refused');
  if (refused && (followed.ok || followed.unanswered)) return refused.text;
  if (followed.unanswered && !since.some(({ kind }) => kind === 'order'))
    return 'The log book does not show yet whether the controller took it.';
  return followed.ok || followed.unanswered ? stateWords(followed, status, now, zone) : '';
}

/** "order accepted.", "order not accepted.", or that there is no answer. */
export function outcomeWords({ ok, unanswered }: Pick<Followed, 'ok' | 'unanswered'>): string {
  if (unanswered) return 'no answer to the order.';
  return ok ? 'order accepted.' : 'order not accepted.';
}
