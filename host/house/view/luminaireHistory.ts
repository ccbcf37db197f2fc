// A luminaire's results, curves and diagnosis, from the log book's results of its circuit.
import { Reason } from '../../../firmware/contract/codes';
import { modeOf, ON_MAINS, OnMains } from '../../../firmware/contract/lamps';
import type { ResultRecord } from '../../../firmware/contract/messages';
import { controllerOf } from '../../../firmware/contract/topics';
import type { LuminaireHistory } from '../../api/views';
import type { Entry } from '../../logbook/logbook';
import { lampCurve, lampResult, resultAt } from '../../records/result';
import { readRecord } from '../../records/schema';
import type { Circuit } from '../../site/model';
import { reasonSentence, testKindWord, verdictWord } from '../../words/codes';
import { dayWord } from '../../words/when';
import { allIdsOf, type Listed } from '../rows/listed';
import { type Channel, crossTalk } from './crossTalk';
import { type DiagnosisInput, type DiagnosisResult, diagnose } from './diagnosis';

type Curve = LuminaireHistory['curves'][number];

interface LampEntry extends DiagnosisResult {
  entry: number;
  curve: Curve | undefined;
}

/** Position of a luminaire's row in a result of a circuit, by any of its ids; -1 if it has none. */
function rowOf(entry: Entry, r: ResultRecord, ids: readonly string[], listed: Listed): number {
  const list = listed(controllerOf(entry.address), r.settings) ?? [];
  return list.findIndex((id) => ids.includes(id));
}

function lampEntries(entries: Entry[], ids: readonly string[], listed: Listed): LampEntry[] {
  return entries.flatMap((entry) => {
    const r = readRecord(entry.body);
    if (r?.kind !== 'result') return [];
    const row = rowOf(entry, r, ids, listed);
    const lamp = lampResult(r, row);
    if (!lamp) return [];
    const at = resultAt(r, entry.at);
    const curve = lampCurve(r, row);
    return [{ ...lamp, entry: entry.entry, at, kind: r.type, curve: curve && { at, ...curve } }];
  });
}

/** The channels of the newest result side by side. */
function newestChannels(circuit: Circuit, entries: Entry[], listed: Listed): Channel[] {
  const [newest] = entries.filter(({ address }) => controllerOf(address) === circuit.id);
  const record = newest && readRecord(newest.body);
  if (record?.kind !== 'result') return [];
  return circuit.luminaires.flatMap((luminaire) => {
    const { id, batteryMilliamps } = luminaire;
    const row = rowOf(newest, record, allIdsOf(luminaire), listed);
    const lamp = lampResult(record, row);
    const curve = lampCurve(record, row)?.percent ?? [];
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
 * @param entries results of every circuit it has been in, newest first
 * @param charges its charge records, newest first
 */
export function luminaireHistory(
  circuit: Circuit,
  index: number,
  entries: Entry[],
  timeZone: string,
  listed: Listed,
  charges: Entry[] = [],
): Omit<LuminaireHistory, 'baseline' | 'batteryOutlook' | 'repair'> {
  const luminaire = circuit.luminaires[index];
  const channels = newestChannels(circuit, entries, listed);
  const own = channels.findIndex((channel) => channel.luminaire === luminaire.id);
  const results = lampEntries(entries, allIdsOf(luminaire), listed);
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
      crossTalk: crossTalk(channels, own),
      noCharge: withoutCharge(charges),
      dateOf: (utcSec) => dayWord(utcSec, timeZone),
    }),
  };
}
