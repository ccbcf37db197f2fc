// The risk notice as published on its topic.
import { WIRE_VERSION } from '../../../firmware/contract/limits';
import type { RiskNotice } from '../../api/views';

/** Most entries listed one by one; the others are counted. */
const TOLD_MAX = 40;

const NO_TEST = 'no test is planned for tonight.';

/** What is said without an entry: only of the circuits that report. */
function nothingWords({ unknown, known }: RiskNotice): string {
  if (known === 0) return `No controller is reporting; ${NO_TEST}`;
  const which = unknown.length === 0 ? 'No batteries' : 'In the circuits that report, no batteries';
  return `${which} are discharging or recharging now, and ${NO_TEST}`;
}

function unknownWords({ unknown, known }: RiskNotice): string {
  if (unknown.length === 1) return unknown[0].sentence;
  const where = known === 0 ? 'in any circuit' : `in ${unknown.length} circuits`;
  return `Not known whether the batteries are full ${where}.`;
}

function textOf(notice: RiskNotice, told: number): string {
  const { entries, unknown, ifPowerFails } = notice;
  const left = entries.length - told;
  const sentences = entries.slice(0, told).map(({ sentence }) => sentence);
  if (entries.length === 0) sentences.push(nothingWords(notice));
  if (left > 0) sentences.push(`And ${left} more circuit${left === 1 ? '' : 's'}; see the host's page.`);
  if (unknown.length > 0) sentences.push(unknownWords(notice));
  // The names of all areas would not fit with many entries.
  if (left > 0) sentences.push('If the power fails: leave all of these areas at once by torchlight.');
  else if (ifPowerFails !== '') sentences.push(ifPowerFails);
  return sentences.join(' ');
}

/** Until when, UTC second; 0 if there is nothing or the end is unknown. */
function untilOf({ entries }: RiskNotice): number {
  if (entries.some(({ until }) => until === 0)) return 0;
  return Math.max(0, ...entries.map(({ until }) => until));
}

/**
 * The notice as JSON text of at most that many bytes; what does not fit is counted instead of listed.
 * @param bytesMax at least 512
 */
export function noticeMessage(notice: RiskNotice, bytesMax: number): string {
  const { at, entries, unknown } = notice;
  for (let told = Math.min(entries.length, TOLD_MAX); ; told--) {
    const areas = [...new Set(entries.slice(0, told).flatMap((entry) => entry.areas))];
    const body = { v: WIRE_VERSION, at, until: untilOf(notice), circuits: entries.length };
    const text = JSON.stringify({ ...body, unknown: unknown.length, areas, text: textOf(notice, told) });
    if (Buffer.byteLength(text) <= bytesMax || told === 0) return text;
  }
}
