// Defects in words: how many, what state each is in, since when, and who sees to it.
import type { DefectsView, DefectView } from '../../api/defects';
import { counted } from '../../words/counted';
import { dateWord, dayOf } from './time';
import type { Tone } from './tone';

/** "3 open defects, 1 circuit not proven": luminaires and circuits are never added up into one number. */
export function defectsTitle({ open }: DefectsView): string {
  const lamps = open.filter(({ luminaire }) => luminaire !== '').length;
  const circuits = open.length - lamps;
  const told = lamps === 0 ? 'No open defect' : counted(lamps, 'open defect');
  return circuits === 0 ? told : `${told}, ${counted(circuits, 'circuit')} not proven`;
}

/** What of that is urgent, waits, or has nobody: "1 overdue, 1 waits for its retest, 2 without an owner."; '' if none. */
export function defectsTally({ open }: DefectsView): string {
  const number = (is: (one: DefectView) => boolean) => open.filter(is).length;
  const parts: [number, string][] = [
    [number(({ overdueDays }) => overdueDays > 0), 'overdue'],
    [number(({ state }) => state === 'repaired'), 'repaired and to be tested again'],
    [number(({ care }) => (care?.owner ?? '') === ''), 'without an owner'],
  ];
  const told = parts.filter(([n]) => n > 0).map(([n, word]) => `${n} ${word}`);
  return told.length === 0 ? '' : `${told.join(', ')}.`;
}

/** Word and tone of its state. */
export function defectState({ state, luminaire }: DefectView): { word: string; tone: Tone } {
  if (state === 'closed') return { word: 'Closed', tone: 'good' };
  if (state === 'repaired') return { word: 'Retest due', tone: 'busy' };
  return { word: luminaire === '' ? 'Not proven' : 'Open', tone: 'fault' };
}

/** "Open for 12 days, since Tue 6 Jan 2026. 3 tests have failed. Came back twice." */
export function ageWords(defect: DefectView, zone: string): string {
  const { state, since, days, fails, reopened, closed } = defect;
  const length = counted(days, 'day');
  const age = closed
    ? `Open for ${length}, closed ${dayOf(closed.at, zone)} by the pass in entry ${closed.entry}.`
    : since === 0
      ? 'Nobody knows since when.'
      : `${state === 'repaired' ? 'Not closed' : 'Open'} for ${length}, since ${dayOf(since, zone)}.`;
  const tests = fails > 1 ? ` ${fails} tests have failed.` : '';
  const back =
    reopened > 0 ? ` Came back ${reopened === 1 ? 'once' : `${reopened} times`} after it was closed.` : '';
  return `${age}${tests}${back}`;
}

/** "Fri 18 Dec 2026", with how long that has been over; "no date" if none is entered. */
export function dueWords({ care, overdueDays }: DefectView): string {
  const due = care?.due ?? '';
  if (due === '') return 'no date';
  return overdueDays > 0 ? `${dateWord(due)}, overdue by ${counted(overdueDays, 'day')}` : dateWord(due);
}

/** The newest repair; '' if there is none. */
export function repairWords({ repairs }: DefectView, zone: string): string {
  const last = repairs[repairs.length - 1];
  if (!last) return '';
  return `${last.what === '' ? 'repaired' : last.what}, ${last.who}, ${dayOf(last.at, zone)}`;
}
