// Short ways to write a value with its source, and values that many profiles share.
import type { Cited, Duty, FullLength, RuleProfile, Status } from './rule';

export interface SourceDocument {
  source: string;
  year?: number;
  /** How far to trust what was read; a single value may override it. */
  status: Status;
}

export function cite<T>(
  document: SourceDocument,
  value: T,
  clause: string,
  status = document.status,
): Cited<T> {
  const year = document.year === undefined ? {} : { year: document.year };
  return { value, source: document.source, clause, ...year, status };
}

export function practice<T>(value: T): Cited<T> {
  return { value, source: 'common practice, no source', clause: '', status: 'CP' };
}

export function duty(
  document: SourceDocument,
  every: string,
  what: string,
  clause = '',
  status = document.status,
): Duty {
  return { ...cite(document, what, clause, status), every };
}

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
  source: 'IEC 62034, through ANSI news of 2006 and the list of changed clauses of 2012',
  year: 2012,
  status: 'V1',
};

/** "Monthly": the target is four weeks, the limit is the longest month. */
export function monthly(document: SourceDocument, clause: string, status = document.status) {
  return {
    everyDays: cite(document, 28, clause, status),
    latestDays: cite(document, 31, clause, status),
    earliestDays: practice(20),
  };
}

/** "Six-monthly": the target is 26 weeks, the limit is the longest six months. */
export function halfYearly(document: SourceDocument, clause: string) {
  return {
    everyDays: cite(document, 182, clause),
    latestDays: cite(document, 184, clause),
    earliestDays: practice(150),
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

/** Judged at 5 s and from 60 s on. The standards ask for light, not current. */
export function lampLimits(): Pick<RuleProfile, 'earlyPercent' | 'floorPercent'> {
  return {
    earlyPercent: cite(EN_1838, 50, '50 % within 5 s'),
    // A failing lamp falls far below this within seconds.
    floorPercent: practice(70),
  };
}
