// Results as the log book holds them, from every firmware version that ever wrote one: luminaire rows by
// name, the verdict on the whole test, and curves in both forms.
import { Reason, Verdict } from '../../firmware/contract/codes';
import { curvePercent, linePercent, readLine } from '../../firmware/contract/curve';
import { ResultColumn } from '../../firmware/contract/lamps';
import type { ResultRecord } from '../../firmware/contract/messages';

/** One luminaire's row of a result. */
export interface LampResult {
  verdict: Verdict;
  reason: number;
  litSec: number;
  milliampsAt5: number;
  milliampsAt60: number;
  milliampsEnd: number;
  /** Mean on mains before the relay opened: the sensor's zero offset if the lamp should be dark there. */
  onMainsMilliamps: number;
}

/**
 * Curve of one discharge at equal intervals, s; % of the commissioned current, -1 unknown; error bound, %.
 */
export interface LampCurve {
  step: number;
  percent: number[];
  bound: number;
}

/** Half a step of the older form, % of the commissioned current. */
const OLDER_BOUND = 1.25;

function lampOf(row: number[]): LampResult {
  return {
    verdict: row[ResultColumn.Verdict],
    reason: row[ResultColumn.Reason],
    litSec: row[ResultColumn.Lit],
    milliampsAt5: row[ResultColumn.At5],
    milliampsAt60: row[ResultColumn.At60],
    milliampsEnd: row[ResultColumn.End],
    onMainsMilliamps: row[ResultColumn.OnMains],
  };
}

/** Row `index` of a result; undefined if the result has none. */
export function lampResult(r: ResultRecord, index: number): LampResult | undefined {
  const row = r.lamps[index];
  return row && lampOf(row);
}

/** All rows of a result, in sensor order. */
export function lampResults(r: ResultRecord): LampResult[] {
  return r.lamps.map(lampOf);
}

/** UTC second a result refers to: when the discharge began, else when it was written. */
export function resultAt(r: ResultRecord, writtenAt: number): number {
  return r.started > 0 ? r.started : writtenAt;
}

/** The worst verdict among the lamps of a result: any fail, else any void, else pass. */
export function resultVerdict(r: ResultRecord): 'pass' | 'fail' | 'void' {
  const lamps = lampResults(r);
  if (lamps.some(({ verdict }) => verdict === Verdict.Fail)) return 'fail';
  return lamps.length > 0 && lamps.every(({ verdict }) => verdict === Verdict.Pass) ? 'pass' : 'void';
}

/**
 * True if a test need not be made again: every luminaire passed, or one failed in a test that was not ended early. One
 * that was ended leaves the other luminaires unjudged, and the controller makes it again.
 */
export function isDone(r: ResultRecord): boolean {
  const verdict = resultVerdict(r);
  if (verdict !== 'fail') return verdict === 'pass';
  const isWhole = lampResults(r).every((one) => one.verdict === Verdict.Pass || one.verdict === Verdict.Fail);
  return isWhole || r.end === Reason.Complete || r.end === Reason.AllDark;
}

/** A luminaire's curve in a result, in whichever form it was written; undefined if there is none. */
export function lampCurve(r: ResultRecord, index: number): LampCurve | undefined {
  const text = r.curves?.[index];
  if (!text) return undefined;
  if (!r.grid) return r.step ? { step: r.step, percent: curvePercent(text), bound: OLDER_BOUND } : undefined;
  const line = readLine(text);
  if (!line) return undefined;
  const percent = linePercent(line).map((p) => Math.round(p * 10) / 10);
  return { step: r.grid, percent, bound: line.bound };
}
