// The notice for everyone in the building: where the emergency lighting may fail, until when, and when the notice
// may come down. Plain words, no circuits, nothing for electricians.
import type { RiskEntry, RiskNotice } from '../../api/views';
import { dayAndTime } from './time';

export interface Place {
  areas: string;
  words: string;
}

function entryWords({ state, from, until }: RiskEntry, zone: string): string {
  const end = until > 0 ? `until ${dayAndTime(until, zone)}` : 'until further notice';
  const start = state === 'planned' ? `from ${dayAndTime(from, zone)} ` : '';
  return `The emergency lighting may not work here ${start}${end}.`;
}

/** Each place with what holds for it; places of which nothing is known come last. */
export function noticePlaces({ entries, unknown }: RiskNotice, zone: string): Place[] {
  const told = entries.map((entry) => ({ areas: entry.areas.join(', '), words: entryWords(entry, zone) }));
  const known = new Set(entries.map(({ circuit }) => circuit));
  const dark = unknown.filter(({ circuit }) => !known.has(circuit));
  const names = [...new Set(dark.flatMap(({ areas }) => areas))].join(', ');
  if (names === '') return told;
  return [...told, { areas: names, words: 'It is not known whether the emergency lighting works here.' }];
}

/** What the notice is about, in one line. */
export function noticeTitle({ entries, unknown }: RiskNotice): string {
  if (entries.length > 0) return 'The emergency lighting may not work in some places';
  return unknown.length > 0
    ? 'It is not known whether the emergency lighting works'
    : 'The emergency lighting is ready';
}

/** When the notice may come down; as long as an end is unknown, only the responsible person knows. */
export function takeDownWords({ entries, unknown }: RiskNotice, responsible: string, zone: string): string {
  if (entries.length + unknown.length === 0) return 'No notice has to be put up.';
  if (unknown.length > 0 || entries.some(({ until }) => until === 0))
    return `Leave this notice up until ${responsible} takes it down.`;
  return `Take down after ${dayAndTime(Math.max(...entries.map(({ until }) => until)), zone)}.`;
}
