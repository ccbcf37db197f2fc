// The state of a luminaire after all its results: a failure stays until a test that can disprove it passes.
import { TestKind } from '../../../firmware/contract/codes';
import type { ResultRecord } from '../../../firmware/contract/messages';
import type { LampStatus, LampVerdict } from '../../api/views';
import type { LampResult } from '../../records/result';
import { type KindWord, kindWord, reasonSentence, verdictWord } from '../../words/codes';
import { stoppedBy } from './stopped';

const NOTHING: LampVerdict = { verdict: 'untested', reason: '', at: 0, kind: '' };

export function untested(luminaire: string): LampStatus {
  return {
    luminaire,
    ...NOTHING,
    ...{ proven: null, attempt: null, judgedAt: 0, voids: {}, failedSince: 0, failedKind: '' },
    ...{ fullSeconds: null, fullVerdict: 'untested', fullAt: 0 },
  };
}

/** How much a kind of test proves: a pass disproves a failure of its own kind and of those below. */
export const SHOWS: Record<KindWord, number> = { '': 0, brief: 1, limited: 2, full: 3, commissioning: 4 };

/**
 * The longest kind of test failed so far, after one more result: a shorter test cannot disprove a longer one's
 * failure, not even after a shorter one has failed as well.
 */
function failedAfter(known: KindWord, { verdict, kind }: LampVerdict): KindWord {
  const isMore = SHOWS[kind] >= SHOWS[known];
  if (verdict === 'fail') return isMore ? kind : known;
  return verdict === 'pass' && isMore ? '' : known;
}

/** Tests without a verdict after one more result: a verdict makes up for those that would have shown no more. */
function voidsAfter({ voids: known, attempt }: LampStatus, one: LampVerdict): LampStatus['voids'] {
  const { verdict, kind, at } = one;
  // A record that was lost on the way and arrives late says nothing of what has been tried since.
  if (attempt && at < attempt.at) return known;
  if (verdict !== 'pass' && verdict !== 'fail') return { ...known, [kind]: (known[kind] ?? 0) + 1 };
  const left = Object.entries(known).filter(([one]) => SHOWS[one as KindWord] > SHOWS[kind]);
  return Object.fromEntries(left);
}

/** Whether a result shows how long the battery lasts: a commissioning test lasts at least the rated duration. */
function showsDuration(kind: TestKind, verdict: string, known: LampStatus): boolean {
  if (kind === TestKind.Commissioning) return verdict === 'pass' && known.fullVerdict === 'fail';
  return kind === TestKind.Full && (verdict === 'pass' || verdict === 'fail');
}

/** A void result proves nothing, so it never hides a failure; one that somebody stopped says nothing at all. */
function inForceAfter(
  known: LampStatus,
  attempt: LampVerdict,
  proven: LampVerdict | null,
  isStopped: boolean,
) {
  const isProof = attempt.verdict === 'pass' || attempt.verdict === 'fail';
  if (isProof || proven?.verdict === 'fail') return proven ?? attempt;
  const { verdict, reason, at, kind } = known;
  return isStopped ? { verdict, reason, at, kind } : attempt;
}

/** The luminaire's state after one more result. */
export function withResult(known: LampStatus, r: ResultRecord, lamp: LampResult, at: number): LampStatus {
  const verdict = verdictWord(lamp.verdict);
  const reason = verdict === 'pass' ? '' : reasonSentence(lamp.reason);
  const attempt: LampVerdict = { verdict, reason, at, kind: kindWord(r.type) };
  const isProof = verdict === 'pass' || verdict === 'fail';
  const failedKind = failedAfter(known.failedKind, attempt);
  const isNews = verdict === 'fail' || (verdict === 'pass' && failedKind === '');
  const proven = isNews ? attempt : known.proven;
  const isStopped = verdict === 'void' && stoppedBy(lamp.reason) !== undefined;
  const inForce = inForceAfter(known, attempt, proven, isStopped);
  const full = showsDuration(r.type, verdict, known)
    ? { fullSeconds: lamp.litSec, fullVerdict: verdict, fullAt: at }
    : { fullSeconds: known.fullSeconds, fullVerdict: known.fullVerdict, fullAt: known.fullAt };
  const hasFailed = inForce.verdict === 'fail' || full.fullVerdict === 'fail';
  const failedSince = hasFailed ? known.failedSince || at : 0;
  const voids = voidsAfter(known, attempt);
  const judgedAt = isProof ? Math.max(known.judgedAt, at) : known.judgedAt;
  return {
    luminaire: known.luminaire,
    ...inForce,
    proven,
    attempt,
    judgedAt,
    voids,
    failedSince,
    failedKind,
    ...full,
  };
}
