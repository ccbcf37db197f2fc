// How a luminaire stands after all its results: a failure stays until a test that can disprove it passes.
import { TestKind, Verdict } from '../../firmware/contract/codes';
import type { ResultRecord } from '../../firmware/contract/messages';
import type { LampStatus } from '../api/views';
import { type KindWord, kindWord, reasonSentence, verdictWord } from '../words/codes';

/** One lamp's row of a result. */
export interface LampResult {
  verdict: Verdict;
  reason: number;
  litSec: number;
  milliampsAt5: number;
  milliampsAt60: number;
  milliampsEnd: number;
  /** Mean on mains before the opening: the sensor's zero offset where the lamp should be dark there. */
  onMainsMilliamps: number;
}

/** Row `index` of a result; undefined when the result has none. */
export function lampResult(r: ResultRecord, index: number): LampResult | undefined {
  const row = r.lamps[index];
  if (!row) return undefined;
  return {
    verdict: row[0],
    reason: row[1],
    litSec: row[2],
    milliampsAt5: row[3],
    milliampsAt60: row[4],
    milliampsEnd: row[5],
    onMainsMilliamps: row[6],
  };
}

/** UTC second a result speaks of: when the discharge began, else when it was written. */
export function resultAt(r: ResultRecord, writtenAt: number): number {
  return r.started > 0 ? r.started : writtenAt;
}

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

/** How much a kind of test shows: a pass disproves a failure of its own kind and of those below. */
const SHOWS: Record<KindWord, number> = { '': 0, brief: 1, limited: 2, full: 3, commissioning: 4 };

/**
 * Whether a result may take the place of what is known. A void proves nothing, so it never hides a
 * failure; a pass of a shorter kind cannot disprove the failure of a longer one.
 */
function replaces(known: LampStatus, kind: TestKind, verdict: Verdict): boolean {
  if (known.verdict !== 'fail') return true;
  if (verdict === Verdict.Fail) return true;
  if (verdict !== Verdict.Pass) return false;
  return SHOWS[kindWord(kind)] >= SHOWS[known.kind];
}

/** The luminaire's standing after one more result. */
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
