// Short ways to write a value with its source, and values that many profiles share.
import type { Cited, Duty, FormName, FullLength, Interval, ReadStatus, RuleProfile, Status } from './rule';

export interface SourceDocument {
  source: string;
  year?: number;
  /** How far to trust what was read; a single value may override it. */
  status: ReadStatus;
}

export function cite<T>(
  document: Omit<SourceDocument, 'status'> & { status: Status },
  value: T,
  clause: string,
  status: Status = document.status,
): Cited<T> {
  const year = document.year === undefined ? {} : { year: document.year };
  return { value, source: document.source, clause, ...year, status };
}

/**
 * A value that only interprets the words of a document.
 * @param words what the document says, e.g. "monthly"
 * @param status how those words were read
 */
export function reading<T>(
  document: SourceDocument,
  value: T,
  words: string,
  clause = '',
  status = document.status,
): Cited<T> {
  return { ...cite(document, value, clause, 'OUR'), reads: { words, status } };
}

/** A value that no source we read gives, chosen so that a test comes sooner or lasts longer rather than not. */
function notGiven<T>(value: T): Cited<T> {
  return { value, source: 'no source gives it', clause: '', status: 'NONE' };
}

export function practice<T>(value: T): Cited<T> {
  return { value, source: 'common practice, no source', clause: '', status: 'CP' };
}

export function duty(
  document: SourceDocument,
  every: string,
  what: string,
  clause = '',
  status: Status = document.status,
): Duty {
  return { ...cite(document, what, clause, status), every };
}

/** A duty with its form, due as often as its own words say, e.g. "monthly". */
export function due(form: FormName, interval: Interval, of: Duty): Duty {
  const { value: _what, every: _words, due: _before, ...from } = of;
  return { ...of, due: { form, interval: { ...from, value: interval } } };
}

/** A duty with its form, whose own words name no interval: how often it is due is our reading, on the safe side. */
export function dueAsRead(form: FormName, interval: Interval, document: SourceDocument, of: Duty): Duty {
  const { clause, every, status } = of;
  const read = status === 'M' || status === 'M?' ? 'M' : document.status;
  return {
    ...of,
    due: { form, interval: reading(document, interval, every.replaceAll('"', ''), clause, read) },
  };
}

/** A duty with its form, for which no text gives an interval. */
export function dueByPractice(form: FormName, interval: Interval, of: Duty): Duty {
  return { ...of, due: { form, interval: practice(interval) } };
}

export const MONTHLY: Interval = { months: 1 };
export const YEARLY: Interval = { months: 12 };
export const HALF_YEARLY: Interval = { months: 6 };

export const RATED: FullLength = { rule: 'rated' };
/** Two thirds of the rated duration. */
export const TWO_THIRDS: FullLength = { rule: 'part', of: [2, 3] };
export const minutes = (count: number): FullLength => ({ rule: 'minutes', minutes: count });

export const CIE_193: SourceDocument = {
  source: 'CIE 193:2010, through GOST R 55842-2013 (ISO 30061)',
  year: 2010,
  status: 'V1',
};
const EN_1838: SourceDocument = {
  source: 'EN 1838 and IEC 60598-2-22, restated by others',
  status: 'V2',
};
export const IEC_62034: SourceDocument = {
  source: 'IEC 62034 (2006), through ANSI news of 2006',
  year: 2006,
  status: 'V2',
};

/** "Monthly": the target is four weeks, the limit is the longest month. */
export function monthly(document: SourceDocument, clause = '') {
  return {
    everyDays: reading(document, 28, 'monthly', clause),
    latestDays: reading(document, 31, 'monthly', clause),
    earliestDays: practice(20),
  };
}

/** As often as "monthly" is read, where no source gives an interval. */
export function monthlyNotGiven() {
  return { everyDays: notGiven(28), latestDays: notGiven(31), earliestDays: practice(20) };
}

/** "Six-monthly": the target is 26 weeks, the limit is the longest six months. */
export function halfYearly(document: SourceDocument, clause = '') {
  return {
    everyDays: reading(document, 182, 'six-monthly', clause),
    latestDays: reading(document, 184, 'six-monthly', clause),
    earliestDays: practice(150),
  };
}

/** What duration tests have in common: a yearly test, sought over two months, a day of recharge, daylight after. */
export function yearly(document: SourceDocument, clause = '', words = 'yearly'): RuleProfile['full'] {
  return {
    latestDays: reading(document, 365, words, clause),
    earlierDays: practice(60),
    rechargeSec: practice(86_400),
    ...fullByDay(),
  };
}

/**
 * What brief tests have in common under all rules: long enough to see each lamp lit, and a part of the rated
 * duration.
 */
export function shortBrief(): Pick<RuleProfile['brief'], 'lengthSec' | 'partOfRated' | 'rechargeSec'> {
  return {
    // Past the 60 s point of EN 1838.
    lengthSec: practice(90),
    partOfRated: cite(CIE_193, 4, 'annex A'),
    rechargeSec: practice(3600),
  };
}

/**
 * What plans prefer for a full test under all rules: afterwards batteries hold least, and by daylight most
 * people can see.
 */
export function fullByDay(): Pick<RuleProfile['full'], 'daylightAfterSec'> {
  return { daylightAfterSec: practice(21_600) };
}

/** Judged at 5 s and from 60 s on, by current where the standards ask for light. */
export function lampLimits(): Pick<RuleProfile, 'earlyPercent' | 'floorPercent'> {
  return {
    earlyPercent: reading(EN_1838, 50, '50 % of the light within 5 s'),
    // A failing lamp falls far below this within seconds.
    floorPercent: practice(70),
  };
}
