// Which report is asked for, and under which name it is kept.
import type { LabelsRequest } from '../../api/labels';
import { t } from '../tongues/tongue';

export interface ReportWish {
  /** Local dates, YYYY-MM-DD. */
  from: string;
  to: string;
  format: 'pdf' | 'csv';
  paper: 'a4' | 'letter';
  /** Id of the only luminaire it is about. */
  luminaire?: string;
}

const DAY_MS = 86_400_000;

/** The twelve months that end on a date, as first and last day. */
export function lastYear(today: string): { from: string; to: string } {
  const [year, month, day] = today.split('-').map(Number);
  const before = new Date(Date.UTC(year - 1, month - 1, day));
  // 29 February of a year without one is 1 March already.
  const first = before.getUTCDate() === day ? new Date(before.getTime() + DAY_MS) : before;
  return { from: first.toISOString().slice(0, 10), to: today };
}

/** What is wrong with the dates, '' if nothing. */
export function datesMistake({ from, to }: Pick<ReportWish, 'from' | 'to'>): string {
  if (from === '' || to === '') return t.reports.giveDates;
  return to < from ? t.reports.wrongOrder : '';
}

/** A name for the file. */
export function fileName(site: string, wish: ReportWish | LabelsRequest): string {
  if (!('from' in wish)) return `labels-${[site, wish.circuit].filter(Boolean).join('-')}.pdf`;
  const { from, to, format, luminaire } = wish;
  const of = luminaire === undefined ? site : `${site}-${luminaire}`;
  return `emergency-lighting-${of}-${from}-${to}.${format}`;
}
