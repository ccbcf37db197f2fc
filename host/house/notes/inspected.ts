// What people looked at: which duty, when, by whom, which part of the site, and for each point whether it was in
// order. The words of duty and points stand in the note, so that it can be read when forms have changed.

import { WORDS_MAX } from '../../api/inspectionLimits';
import { type Scope, scopesOfLuminaires } from '../../duties/due';
import type { DatedDuty } from '../../duties/duties';
import type { KeyRing } from '../../keys';
import type { Entry } from '../../logbook/logbook';
import type { Site } from '../../site/model';
import { tidyText, unfit } from '../../words/freeText';
import { isWho, NAME_RULE } from '../../words/person';
import { dayWord, momentWord } from '../../words/when';
import { type Decision, type NewNote, parseNote, signedNote, WHOLE_SITE } from './notes';

export const INSPECTION = 'inspection';

export const MARKS = ['in order', 'not in order', 'not applicable'] as const;
export type Mark = (typeof MARKS)[number];

/** The answer to one point of a form. */
export interface Answer {
  point: string;
  mark: Mark;
  /** Ids of the luminaires meant, if it is not in order; empty if none is named. */
  luminaires: string[];
  /** In the person's own words; '' if none. */
  words: string;
}

/** An answer as stored, with what was asked. */
export interface PointFields extends Answer {
  asked: string;
}

export interface InspectionFields {
  /** Made where it was entered; the log book never has two of the same. */
  id: string;
  duty: string;
  /** The duty's title at the time. */
  title: string;
  /** UTC second it was done; the note's own time is when it arrived. */
  done: number;
  scope: Scope;
  points: PointFields[];
  words: string;
  /** The name it was filled in under, where who sent it had signed in with another. */
  writtenAs?: string;
}

/** One inspection, as reports take it. */
export interface HumanCheck extends InspectionFields {
  /** Number of its entry in the log book. */
  entry: number;
  who: string;
  /** UTC second it was entered. */
  at: number;
}

/** An inspection as somebody sends it. */
export interface InspectionWish {
  id: string;
  duty: string;
  who: string;
  /** UTC second. */
  done: number;
  scope: Scope;
  points: Answer[];
  words: string;
  writtenAs?: string;
}

/** What a phone's clock may be ahead of the host's, s. */
const AHEAD_SEC = 600;
/** The one refusal that may be the fault of the host: its clock may be behind. */
export const TOO_EARLY = 'That time has not come yet; give the time at which it was done.';
/** Nothing was done before 2000, UTC second. */
const EARLIEST = 946_684_800;
const ID = /^[A-Za-z0-9-]{8,40}$/;

/** Where all inspections are filed, whatever they looked at, so that none is stored twice under two addresses. */
export function siteNotes(site: Pick<Site, 'id'>): string {
  return `${site.id}/${WHOLE_SITE}`;
}

/** The scopes a duty can be done for, with their names: the whole site first. */
export function scopesOf(site: Site, { byLuminaire }: Pick<DatedDuty, 'byLuminaire'>): Map<Scope, string> {
  const scopes = new Map([['site', 'the whole site']]);
  if (!byLuminaire) return scopes;
  for (const { id, name } of site.areas) scopes.set(`area ${id}`, name);
  for (const { id, name } of site.circuits) scopes.set(`circuit ${id}`, `circuit ${id}, ${name}`);
  for (const { luminaires } of site.circuits)
    for (const { id } of luminaires) scopes.set(`luminaire ${id}`, `luminaire ${id}`);
  return scopes;
}

/** A scope in words, also one that the site no longer has: "the whole site", "area hall". */
export function scopeWords(scope: Scope): string {
  return scope === 'site' ? 'the whole site' : scope;
}

function wordsMistakes(words: string): string[] {
  const why = unfit(words, WORDS_MAX);
  return why === '' ? [] : [`What you write ${why}: "${[...words].slice(0, 20).join('')}…"`];
}

function answerMistakes(
  duty: DatedDuty,
  answers: readonly Answer[],
  scope: Scope,
  known: ReadonlyMap<string, readonly Scope[]>,
): string[] {
  return duty.points.flatMap(({ id, words: asked }) => {
    const own = answers.filter(({ point }) => point === id);
    if (own.length !== 1) return [`"${asked}" needs one answer.`];
    const [{ mark, luminaires, words }] = own;
    const unknown = luminaires.filter((lamp) => !known.has(lamp));
    if (unknown.length > 0) return [`The site has no luminaire ${unknown.join(', ')}.`];
    if (mark === 'not in order' && luminaires.length === 0 && words === '')
      return [`Say what is not in order: "${asked}"`];
    if (mark !== 'not in order' && luminaires.length > 0)
      return [`Luminaires are named, but it is ${mark}: "${asked}"`];
    const outside = luminaires.filter((lamp) => !known.get(lamp)!.includes(scope));
    if (outside.length > 0)
      return [`Not in the part that was looked at, ${scopeWords(scope)}: ${outside.join(', ')}.`];
    return wordsMistakes(words);
  });
}

/**
 * The note to write, or why not, one sentence each.
 * @param now UTC second; a little later than that is taken for a phone's clock that is ahead
 */
export function decideInspection(
  site: Site,
  duties: readonly DatedDuty[],
  wish: InspectionWish,
  now: number,
): Decision<NewNote & { fields: InspectionFields }> {
  const duty = duties.find(({ id }) => id === wish.duty);
  if (!duty) return { refusals: [`This site has no duty "${wish.duty}".`] };
  const { who, scope } = wish;
  const words = tidyText(wish.words);
  const answers = wish.points.map((one) => ({ ...one, words: tidyText(one.words) }));
  const refusals = [
    ...(ID.test(wish.id) ? [] : ['An entry needs an id of its own: 8 to 40 letters, digits and hyphens.']),
    ...(isWho(who) ? [] : [`Give your name, because the log book records who looked: ${NAME_RULE}.`]),
    ...wordsMistakes(words),
    ...(scopesOf(site, duty).has(scope)
      ? []
      : [`"${scope}" is no part of this site that can be looked at by itself.`]),
    ...(wish.done > now + AHEAD_SEC ? [TOO_EARLY] : []),
    ...(wish.done < EARLIEST ? ['Give the time at which it was done.'] : []),
    ...answerMistakes(duty, answers, scope, scopesOfLuminaires(site)),
  ];
  if (refusals.length > 0) return { refusals: [...new Set(refusals)] };
  const points = duty.points.map(({ id, words: asked }): PointFields => {
    const answer = answers.find(({ point }) => point === id)!;
    return { ...answer, asked };
  });
  const done = Math.min(wish.done, now);
  const written = wish.writtenAs === undefined ? {} : { writtenAs: wish.writtenAs };
  const fields = { id: wish.id, duty: duty.id, title: duty.title, done, scope, points, words, ...written };
  return { note: { address: siteNotes(site), kind: INSPECTION, at: now, who: who.trim(), fields } };
}

function checkOf(note: ReturnType<typeof parseNote<InspectionFields>>): HumanCheck | undefined {
  if (!note) return undefined;
  const { id, duty, title, done, scope, points, words, writtenAs } = note.fields;
  const written = writtenAs === undefined ? {} : { writtenAs };
  const { entry, who, at } = note;
  return { entry, who, at, id, duty, title, done, scope, points, words, ...written };
}

/** The inspection in an entry of that kind; undefined if it is none, or cannot be read. */
export function readInspection(entry: Entry): HumanCheck | undefined {
  return entry.kind === INSPECTION ? checkOf(parseNote<InspectionFields>(entry)) : undefined;
}

/** False only of an inspection that looked at other parts of the site than this circuit. */
export function isAboutCircuit(site: Site, entry: Entry, circuit: string): boolean {
  const check = readInspection(entry);
  const luminaires = site.circuits.find(({ id }) => id === circuit)?.luminaires ?? [];
  const scopes = scopesOfLuminaires(site);
  return !check || luminaires.some(({ id }) => scopes.get(id)!.includes(check.scope));
}

/** The same with the signature checked: undefined also if this host did not write it. */
export function signedInspection(keys: KeyRing, entry: Entry): HumanCheck | undefined {
  return entry.kind === INSPECTION ? checkOf(signedNote<InspectionFields>(keys, entry)) : undefined;
}

/**
 * Human checks done between two moments and by whom, in log book order; those entered late count when they were done.
 * @param entries of the log book, such as `logbook.after(0, limit, INSPECTION)`; others are passed over
 * @param from UTC second, included
 * @param until UTC second, not included
 */
export function checksBetween(
  keys: KeyRing,
  entries: Iterable<Entry>,
  from: number,
  until: number,
): HumanCheck[] {
  const checks = [...entries].map((entry) => signedInspection(keys, entry));
  return checks.filter(
    (check): check is HumanCheck => check !== undefined && check.done >= from && check.done < until,
  );
}

/** One point in words: "not in order: Luminaires and signs are clean (A-01, A-02: dusty)". */
function pointWords({ asked, mark, luminaires, words }: PointFields): string {
  const more = [luminaires.join(', '), words].filter((part) => part !== '').join(': ');
  return `${mark}: ${asked.replace(/\.$/, '')}${more === '' ? '' : ` (${more})`}`;
}

/** An inspection in words, after the name. */
export function inspectionWords(fields: InspectionFields, at: number, zone: string): string {
  const { title, done, scope, points, words, writtenAs } = fields;
  const late =
    dayWord(done, zone) === dayWord(at, zone) ? '' : ` on ${momentWord(done, zone)}, entered later`;
  const count = (mark: Mark) => points.filter((one) => one.mark === mark).length;
  const found = points.filter(({ mark }) => mark === 'not in order');
  const order = count('in order');
  const lines = [
    order === points.length ? `all ${order} points in order` : `${order} of ${points.length} points in order`,
    ...(count('not applicable') > 0 ? [`${count('not applicable')} not applicable`] : []),
    ...found.map(pointWords),
    ...(words === '' ? [] : [words]),
  ];
  return `did "${title}" for ${scopeWords(scope)}${late}: ${lines.join('; ').replace(/\.$/, '')}.${writtenAs === undefined ? '' : ` Written on the device as "${writtenAs}".`}`;
}
