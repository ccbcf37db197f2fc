// A profile as rows for a reader: what, how much, which source, and how far to trust it.
import { briefMostSec, commissioningSec, fullLeastSec, isRatedTooShort } from './lengths';
import type { Cited, FullLength, ReadStatus, RuleProfile, Status } from './rule';

/** What each status means, in the words shown to users. */
export const STATUS_WORDS: Record<Status, string> = {
  V1: "read in the text or on an authority's page",
  V2: 'from a summary',
  OUR: 'our reading',
  M: 'from memory',
  'M?': 'from memory, uncertain',
  CP: 'common practice, no source',
  NONE: 'not given by any source we read; on the safe side',
  SITE: 'given in the site file',
};

export interface Row {
  what: string;
  value: string;
  /** Document, year unless the name contains it, and clause; '' if there is none. */
  source: string;
  status: string;
}

/** The most common rated durations, min. */
const RATED_MINUTES = [60, 90, 180];

function sourceOf(cited: Cited<unknown>): string {
  if (cited.status === 'CP' || cited.status === 'NONE') return '';
  const year = cited.year !== undefined && !cited.source.includes(String(cited.year)) ? `${cited.year}` : '';
  return [cited.source, year, cited.clause].filter((part) => part !== '').join(', ');
}

/** How the words behind a reading were read. */
const READ_WORDS: Record<ReadStatus, string> = {
  V1: 'words read there',
  V2: 'words from a summary',
  M: 'words from memory',
};

function statusOf({ status, reads }: Cited<unknown>): string {
  if (!reads) return STATUS_WORDS[status];
  return `${STATUS_WORDS[status]} of "${reads.words}" (${READ_WORDS[reads.status]})`;
}

/** One value as a row for a reader. */
export function row<T>(what: string, cited: Cited<T>, say: (value: T) => string): Row {
  return { what, value: say(cited.value), source: sourceOf(cited), status: statusOf(cited) };
}

const days = (count: number) => `${count} ${count === 1 ? 'day' : 'days'}`;
const percent = (count: number) => `${count} %`;
const text = (words: string) => words;

function span(sec: number): string {
  if (sec >= 7200 && sec % 3600 === 0) return `${sec / 3600} h`;
  return sec >= 600 ? `${sec / 60} min` : `${sec} s`;
}

function lengthWords(length: FullLength): string {
  if (length.rule === 'rated') return 'rated duration';
  if (length.rule === 'minutes') return `${length.minutes} min`;
  return `${length.of[0]}/${length.of[1]} of rated duration`;
}

function briefRows({ brief }: RuleProfile): Row[] {
  return [
    row('function test planned every', brief.everyDays, days),
    row('function test at least every', brief.latestDays, days),
    ...(brief.agreedDays ? [row("with the authority's agreement, every", brief.agreedDays, days)] : []),
    ...(brief.leastGapDays ? [row('function tests never closer than', brief.leastGapDays, days)] : []),
    row('function tests not deliberately closer than', brief.earliestDays, days),
    ...(brief.leastSec ? [row('shortest function test', brief.leastSec, span)] : []),
    row('length of a function test', brief.lengthSec, span),
    row('longest function test', brief.partOfRated, (part) => `1/${part} of rated duration`),
    row('recharge after a function test', brief.rechargeSec, span),
  ];
}

function fullRows({ full, fullLength, fullBeforeOpening, commissioning }: RuleProfile): Row[] {
  const { least, instead } = fullLength;
  return [
    row('duration test at least every', full.latestDays, days),
    row('duration test no earlier than', full.earlierDays, (count) => `${days(count)} before that`),
    row('shortest duration test', least, lengthWords),
    ...(instead ? [row('accepted where never empty', instead, lengthWords)] : []),
    row('recharge before and after a duration test', full.rechargeSec, span),
    row('daylight preferred after a duration test', full.daylightAfterSec, span),
    ...(fullBeforeOpening
      ? [row('batteries full whenever the building opens', fullBeforeOpening, (is) => (is ? 'yes' : 'no'))]
      : []),
    ...(commissioning
      ? [
          row('charge before the first discharge', commissioning.chargeSec, span),
          row(
            'first discharge',
            commissioning.factor,
            (f) => `${f} x ${commissioning.leastMinutes.value} min`,
          ),
        ]
      : []),
  ];
}

/** Every value of a profile with its source. */
export function profileRows(profile: RuleProfile): Row[] {
  return [
    ...briefRows(profile),
    ...fullRows(profile),
    ...(profile.lightWithinSec ? [row('light wanted within', profile.lightWithinSec, span)] : []),
    row('lit at 5 s', profile.earlyPercent, percent),
    row('lit from 60 s to the end', profile.floorPercent, (p) => `${p} % of commissioned current`),
    row('records', profile.records.kept, text),
    row('records kept', profile.records.years, (years) => `${years} years at least`),
    ...profile.duties.map((duty) => row(`people, ${duty.every}`, duty, text)),
  ];
}

/** Usual rated durations, and the one the profile asks for, min. */
function ratedMinutesOf({ fullLength: { least } }: RuleProfile): number[] {
  const asked = least.value.rule === 'minutes' ? [least.value.minutes] : [];
  return [...new Set([...RATED_MINUTES, ...asked])].sort((a, b) => a - b);
}

/** Sentences on what follows for luminaires of usual rated durations, computed from the values. */
export function derivedLines(profile: RuleProfile): string[] {
  const lines = ratedMinutesOf(profile).map((minutes) => {
    const rated = minutes * 60;
    const most = briefMostSec(profile, rated);
    const brief = Math.min(profile.brief.lengthSec.value, most);
    const needed = fullLeastSec(profile.fullLength.least.value, rated);
    const short = isRatedTooShort(profile, rated) ? ', more than such a luminaire can show' : '';
    return (
      `Rated ${minutes} min: function test ${span(brief)} (at most ${span(most)}), ` +
      `duration test of ${span(needed)} required${short}.`
    );
  });
  const first = commissioningSec(profile);
  return first === undefined ? lines : [...lines, `First discharge of a new system: ${span(first)}.`];
}

/** One line about a profile, for a list. */
export function shortLine(profile: RuleProfile): string {
  const every = `function test every ${days(profile.brief.latestDays.value)}`;
  const full = `duration test every ${days(profile.full.latestDays.value)}, ${lengthWords(profile.fullLength.least.value)}`;
  return profile.bySchedule ? 'given in the site file' : `${every}, ${full}`;
}
