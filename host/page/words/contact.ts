// How well the host hears a controller, and what its senses say, in words.
import { isHeard } from '../../api/phases';
import type { ControllerStatus } from '../../api/views';
import { t } from '../tongues/tongue';
import { hostWords } from './hostWords';
import { nearTime } from './time';

/** "Reporting, last heard 02:14" / "Late, last heard …" / "Silent since …" / "Never heard from". */
export function contactWords(status: ControllerStatus, nowSec: number, zone: string): string {
  if (status.contact === 'never heard' || status.heardAt === 0) return t.contact.never;
  const at = nearTime(status.heardAt, nowSec, zone);
  if (status.contact === 'silent') return t.contact.silent(at);
  return status.contact === 'late' ? t.contact.late(at) : t.contact.reporting(at);
}

/** "Batteries recharging until …", empty when they are charged, under test, or no longer heard of. */
export function rechargeWords(status: ControllerStatus, nowSec: number, zone: string): string {
  if (!isHeard(status) || status.charged <= nowSec || status.phase !== 'recharging') return '';
  return t.contact.recharging(nearTime(status.charged, nowSec, zone));
}

/** What a circuit's line says beside its state, in short sentences; none if there is nothing to say. */
export function lineWords(status: ControllerStatus, nowSec: number, zone: string): string[] {
  const notes = [rechargeWords, heldWords, attendedWords].map((words) => words(status, nowSec, zone));
  return [
    status.phase === 'starting' || status.phase === 'held' ? hostWords(status.sentence) : '',
    ...notes.map((note) => (note === '' ? '' : `${note}.`)),
    status.contact === 'late' ? `${contactWords(status, nowSec, zone)}.` : '',
    status.waiting === '' ? '' : t.contact.cannotStart(hostWords(status.waiting)),
  ].filter((sentence) => sentence !== '');
}

/** "Held by Maren Tollick until 08:00"; empty if there is no hold by order. */
export function heldWords(status: ControllerStatus, nowSec: number, zone: string): string {
  const { held } = status;
  return held ? t.contact.held(held.who, nearTime(held.until, nowSec, zone)) : '';
}

/** "Engineer working here until 15:00: Maren Tollick", or when someone will be; empty if no one is. */
export function attendedWords(status: ControllerStatus, nowSec: number, zone: string): string {
  const { attended } = status;
  if (!attended || attended.to <= nowSec) return '';
  const until = nearTime(attended.to, nowSec, zone);
  if (attended.from <= nowSec) return t.contact.attended(attended.who, until);
  return t.contact.willAttend(attended.who, nearTime(attended.from, nowSec, zone), until);
}

/**
 * One sense in words: "on", "not known", or for a controller no longer heard "not known; on when last heard".
 * @param words for true and for false
 */
export function sensed(
  value: boolean | null,
  words: readonly [string, string],
  status: ControllerStatus,
): string {
  if (value === null) return t.contact.notKnown;
  const word = words[value ? 0 : 1];
  return isHeard(status) ? word : t.contact.whenLastHeard(word);
}
