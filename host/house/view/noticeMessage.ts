// The risk notice as published on its topic.
import { WIRE_VERSION } from '../../../firmware/contract/limits';
import type { RiskNotice } from '../../api/views';

/** Most entries listed one by one; the others are counted. */
const TOLD_MAX = 40;

const NOTHING = 'No batteries are discharging or recharging now, and no test is planned for tonight.';

function textOf(notice: RiskNotice, told: number): string {
  const { entries, unknown, ifPowerFails } = notice;
  const left = entries.length - told;
  const sentences = entries.slice(0, told).map(({ sentence }) => sentence);
  if (entries.length === 0) sentences.push(NOTHING);
  if (left > 0) sentences.push(`And ${left} more circuit${left === 1 ? '' : 's'}; see the host's page.`);
  if (unknown.length > 0)
    sentences.push(
      `Status unknown: ${unknown.length === 1 ? `circuit ${unknown[0]}` : `${unknown.length} circuits`}.`,
    );
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
  const { at, entries } = notice;
  for (let told = Math.min(entries.length, TOLD_MAX); ; told--) {
    const areas = [...new Set(entries.slice(0, told).flatMap((entry) => entry.areas))];
    const body = { v: WIRE_VERSION, at, until: untilOf(notice), circuits: entries.length, areas };
    const text = JSON.stringify({ ...body, text: textOf(notice, told) });
    if (Buffer.byteLength(text) <= bytesMax || told === 0) return text;
  }
}
