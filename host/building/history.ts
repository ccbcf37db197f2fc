// A luminaire's results, curves and diagnosis, from the log book's results of its circuit.
import { Reason } from '../../firmware/contract/codes';
import { curvePercent, linePercent, readLine } from '../../firmware/contract/curve';
import type { ResultRecord } from '../../firmware/contract/messages';
import type { LuminaireHistory } from '../api/views';
import type { Entry } from '../logbook/logbook';
import { readRecord } from '../records/schema';
import type { Circuit } from '../site/model';
import { reasonSentence, testKindWord, verdictWord } from '../words/codes';
import { type Channel, crossTalk } from './crossTalk';
import { type DiagnosisInput, type DiagnosisResult, diagnose } from './diagnosis';
import { lampResult, resultAt } from './lamps';

type Curve = LuminaireHistory['curves'][number];

interface LampEntry extends DiagnosisResult {
  entry: number;
  curve: Curve | undefined;
}

/** Half a step of the older form, % of the commissioned current. */
const OLDER_BOUND = 1.25;

/** A luminaire's curve in a result, at equal distances whatever form it was written in. */
function curveIn(r: ResultRecord, index: number, at: number): Curve | undefined {
  const text = r.curves?.[index];
  if (!text) return undefined;
  if (!r.grid)
    return r.step ? { at, step: r.step, percent: curvePercent(text), bound: OLDER_BOUND } : undefined;
  const line = readLine(text);
  if (!line) return undefined;
  const percent = linePercent(line).map((p) => Math.round(p * 10) / 10);
  return { at, step: r.grid, percent, bound: line.bound };
}

function lampEntries(entries: Entry[], index: number): LampEntry[] {
  return entries.flatMap((entry) => {
    const r = readRecord(entry.body);
    if (r?.kind !== 'result') return [];
    const lamp = lampResult(r, index);
    if (!lamp) return [];
    const at = resultAt(r, entry.at);
    return [{ ...lamp, entry: entry.entry, at, kind: r.type, curve: curveIn(r, index, at) }];
  });
}

function dateWriter(timeZone: string): (utcSec: number) => string {
  const format = new Intl.DateTimeFormat('en-GB', { dateStyle: 'medium', timeZone });
  return (utcSec) => format.format(new Date(utcSec * 1000));
}

/** The channels of the newest result side by side. */
function newestChannels(circuit: Circuit, entries: Entry[]): Channel[] {
  const record = entries.length > 0 ? readRecord(entries[0].body) : undefined;
  if (record?.kind !== 'result') return [];
  return circuit.luminaires.flatMap(({ id, batteryMilliamps }, i) => {
    const lamp = lampResult(record, i);
    const curve = curveIn(record, i, 0)?.percent ?? [];
    return lamp ? [{ ...lamp, luminaire: id, batteryMilliamps, curve }] : [];
  });
}

function withoutCharge(charges: Entry[]): DiagnosisInput['noCharge'] {
  return charges.flatMap((entry) => {
    const r = readRecord(entry.body);
    return r?.kind === 'charge' && r.reason === Reason.NoCharge ? [{ at: entry.at, milliamps: r.arg }] : [];
  });
}

/**
 * History of luminaire number `index` of a circuit.
 * @param entries results of the circuit, newest first
 * @param charges its charge records, newest first
 */
export function luminaireHistory(
  circuit: Circuit,
  index: number,
  entries: Entry[],
  timeZone: string,
  charges: Entry[] = [],
): Omit<LuminaireHistory, 'baseline' | 'repair'> {
  const luminaire = circuit.luminaires[index];
  const results = lampEntries(entries, index);
  return {
    luminaire: luminaire.id,
    circuit: circuit.id,
    results: results.map((r) => ({
      entry: r.entry,
      at: r.at,
      kind: testKindWord(r.kind),
      verdict: verdictWord(r.verdict),
      reason: verdictWord(r.verdict) === 'pass' ? '' : reasonSentence(r.reason),
      seconds: r.litSec,
      milliampsAt5: r.milliampsAt5,
      milliampsAt60: r.milliampsAt60,
      milliampsEnd: r.milliampsEnd,
    })),
    curves: results.flatMap((r) => (r.curve ? [r.curve] : [])),
    diagnosis: diagnose({
      results,
      ratedSec: luminaire.ratedSec,
      batteryMilliamps: luminaire.batteryMilliamps,
      darkOnMains: luminaire.mode === 'non-maintained' || luminaire.mode === 'combined',
      crossTalk: crossTalk(newestChannels(circuit, entries), index),
      noCharge: withoutCharge(charges),
      dateOf: dateWriter(timeZone),
    }),
  };
}
