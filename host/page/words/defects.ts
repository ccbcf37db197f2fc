// Defects in words: how many, what state each is in, since when, and who sees to it.
import type { DefectCounts, DefectView } from '../../api/defects';
import type { ControllerStatus } from '../../api/views';
import { t } from '../tongues/tongue';
import { workWords } from './hostWords';
import { dateWord, dayOf } from './time';
import type { Tone } from './tone';

/** "4 open defects, 1 luminaire and 12 circuits not proven": these are never added up into one number. */
export function defectsTitle({ failed, luminaires, circuits }: DefectCounts): string {
  return t.defects.title(failed, luminaires, circuits);
}

/** What of that is urgent, waits, or has nobody: "1 overdue, 1 waits for its retest, 2 without an owner."; '' if none. */
export function defectsTally({ overdue, toRetest, ownerless }: DefectCounts): string {
  const parts: [number, (n: number) => string][] = [
    [overdue, t.defects.overdue],
    [toRetest, t.defects.toRetest],
    [ownerless, t.defects.ownerless],
  ];
  const told = parts.filter(([n]) => n > 0).map(([n, words]) => words(n));
  return told.length === 0 ? '' : `${told.join(', ')}.`;
}

/** Word and tone of its state. */
export function defectState({ state }: DefectView): { word: string; tone: Tone } {
  if (state === 'closed') return { word: t.defects.closed, tone: 'good' };
  if (state === 'repaired') return { word: t.defects.retestDue, tone: 'busy' };
  return { word: state === 'not proven' ? t.defects.notProven : t.defects.open, tone: 'fault' };
}

function openWords(state: DefectView['state']): typeof t.defects.openSince {
  if (state === 'not proven') return t.defects.notProvenSince;
  return state === 'repaired' ? t.defects.notClosedSince : t.defects.openSince;
}

/** "Open for 12 days, since Tue 6 Jan 2026. 3 tests have failed. Came back twice." */
export function ageWords(defect: DefectView, zone: string): string {
  const { state, since, days, fails, reopened, closed } = defect;
  const age = closed
    ? t.defects.openThenClosed(days, dayOf(closed.at, zone), closed.entry)
    : since === 0
      ? t.defects.nobodyKnows
      : openWords(state)(days, dayOf(since, zone));
  const tests = fails > 1 ? ` ${t.defects.fails(fails)}` : '';
  const back = reopened > 0 ? ` ${t.defects.cameBack(reopened)}` : '';
  return `${age}${tests}${back}`;
}

/** "Fri 18 Dec 2026", with how long that has been over; "no date" if none is entered. */
export function dueWords({ care, overdueDays }: DefectView): string {
  const due = care?.due ?? '';
  if (due === '') return t.defects.noDate;
  return overdueDays > 0 ? t.defects.overdueBy(dateWord(due), overdueDays) : dateWord(due);
}

/** The newest repair; '' if there is none. */
export function repairWords({ repairs }: DefectView, zone: string): string {
  const last = repairs[repairs.length - 1];
  if (!last) return '';
  return `${last.what === '' ? t.defects.repaired : workWords(last.what)}, ${last.who}, ${dayOf(last.at, zone)}`;
}

/**
 * What the answers about repaired luminaires depend on beside the log book: a retest that is planned or moved makes
 * no entry. The list is asked for again when this text changes.
 */
export function retestNews(controllers: readonly ControllerStatus[]): string {
  return controllers
    .filter(({ retests }) => retests.length > 0)
    .flatMap(({ circuit, contact, phase, charged, retests }) => [
      ...[circuit, contact, phase, charged],
      ...retests.map(({ luminaire, at }) => `${luminaire} ${at}`),
    ])
    .join(' ');
}
