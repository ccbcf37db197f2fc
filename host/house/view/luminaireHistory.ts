// A luminaire's results, curves and diagnosis, from the log book's results of its circuit.
import { Reason } from '../../../firmware/contract/codes';
import { modeOf, ON_MAINS, OnMains } from '../../../firmware/contract/lamps';
import type { LuminaireHistory } from '../../api/views';
import type { Entry } from '../../logbook/logbook';
import { lampCurve, lampResult, resultAt } from '../../records/result';
import { readRecord } from '../../records/schema';
import type { Circuit } from '../../site/model';
import { reasonSentence, testKindWord, verdictWord } from '../../words/codes';
import { type Channel, crossTalk } from './crossTalk';
import { type DiagnosisInput, type DiagnosisResult, diagnose } from './diagnosis';

type Curve = LuminaireHistory['curves'][number];

interface LampEntry extends DiagnosisResult {
  entry: number;
  curve: Curve | undefined;
}

function lampEntries(entries: Entry[], index: number): LampEntry[] {
  return entries.flatMap((entry) => {
    const r = readRecord(entry.body);
    if (r?.kind !== 'result') return [];
    const lamp = lampResult(r, index);
    if (!lamp) return [];
    const at = resultAt(r, entry.at);
    const curve = lampCurve(r, index);
    return [{ ...lamp, entry: entry.entry, at, kind: r.type, curve: curve && { at, ...curve } }];
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
    const curve = lampCurve(record, i)?.percent ?? [];
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
      darkOnMains: ON_MAINS[modeOf(luminaire.mode)] === OnMains.Dark,
      crossTalk: crossTalk(newestChannels(circuit, entries), index),
      noCharge: withoutCharge(charges),
      dateOf: dateWriter(timeZone),
    }),
  };
}
