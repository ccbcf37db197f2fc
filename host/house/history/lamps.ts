// The state of a luminaire after all its results: a failure stays until a test that can disprove it passes.
import { TestKind, Verdict } from '../../../firmware/contract/codes';
import type { ResultRecord } from '../../../firmware/contract/messages';
import type { LampStatus } from '../../api/views';
import type { LampResult } from '../../records/result';
import { type KindWord, kindWord, reasonSentence, verdictWord } from '../../words/codes';

export function untested(luminaire: string): LampStatus {
  return {
    luminaire,
    verdict: 'untested',
    reason: '',
    at: 0,
    kind: '',
    fullSeconds: null,
    fullVerdict: 'untested',
    fullAt: 0,
  };
}

/** How much a kind of test proves: a pass disproves a failure of its own kind and of those below. */
const SHOWS: Record<KindWord, number> = { '': 0, brief: 1, limited: 2, full: 3, commissioning: 4 };

/**
 * True if a result may replace what is known. A void result proves nothing, so it never hides a failure; a
 * pass of a shorter kind cannot disprove the failure of a longer one.
 */
function replaces(known: LampStatus, kind: TestKind, verdict: Verdict): boolean {
  if (known.verdict !== 'fail') return true;
  if (verdict === Verdict.Fail) return true;
  if (verdict !== Verdict.Pass) return false;
  return SHOWS[kindWord(kind)] >= SHOWS[known.kind];
}

/** The luminaire's state after one more result. */
export function withResult(known: LampStatus, r: ResultRecord, lamp: LampResult, at: number): LampStatus {
  const next = { ...known };
  const verdict = verdictWord(lamp.verdict);
  if (r.type === TestKind.Full && (lamp.verdict !== Verdict.Void || known.fullVerdict !== 'fail')) {
    next.fullSeconds = lamp.litSec;
    next.fullVerdict = verdict;
    next.fullAt = at;
  }
  if (!replaces(known, r.type, lamp.verdict)) return next;
  next.verdict = verdict;
  next.reason = verdict === 'pass' ? '' : reasonSentence(lamp.reason);
  next.at = at;
  next.kind = kindWord(r.type);
  return next;
}
