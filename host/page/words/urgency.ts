// What needs attention, the worst first: what it is, where, since when, and what to do next.
import { isHeard } from '../../api/phases';
import type { ControllerStatus, LampStatus, StoppedView } from '../../api/views';
import type { Circuit } from '../../site/model';
import { capital } from '../../words/capital';
import { t } from '../tongues/tongue';
import { hostWords } from './hostWords';
import { dayAndTime, dayOf } from './time';
import { isTesting, standing } from './tone';

export interface Concern {
  circuit: string;
  /** Empty if the whole circuit is meant. */
  luminaire: string;
  /** What it is, in a few words. */
  title: string;
  /** What is known about it. */
  detail: string;
  /** UTC second since which it is known, 0 if that is not known. */
  since: number;
  /** What to do next. */
  next: string;
  /** UTC second of the test to wait for instead, 0 if there is none. */
  waitFor: number;
  /** What to say of that test. */
  waitWords: (at: string) => string;
  /** 0 is the most urgent. */
  rank: number;
}

type Whole = Omit<Concern, 'circuit' | 'luminaire' | 'waitFor' | 'waitWords'> &
  Partial<Pick<Concern, 'waitFor'>>;

/** What makes everything else about a circuit secondary. */
function stateConcern(status: ControllerStatus): Whole | null {
  const { troubleAt, heardAt } = status;
  const detail = hostWords(status.sentence);
  const said = t.attention;
  if (status.contact === 'never heard') {
    const { recordAt } = status;
    const title = recordAt > 0 ? said.notHeard : said.neverHeard;
    return { rank: 5, title, detail, since: recordAt, next: said.neverHeardNext };
  }
  if (!isHeard(status)) {
    return { rank: 2, title: said.silent, detail, since: heardAt, next: said.silentNext };
  }
  if (status.phase === 'outage') {
    return { rank: 0, title: said.outage, detail, since: troubleAt.outage, next: said.outageNext };
  }
  if (status.phase === 'fault')
    return { rank: 1, title: said.fault, detail, since: troubleAt.fault, next: said.faultNext };
  if (status.redLamp === true && !isTesting(status)) {
    const { unconfirmed: title, unconfirmedNext: next } = said;
    return { rank: 0, title, detail, since: troubleAt.fault, next };
  }
  return null;
}

function sentence(text: string): string {
  const end = text === '' || text.endsWith('.') ? '' : '.';
  return capital(text) + end;
}

function failed(status: ControllerStatus, lamp: LampStatus): Concern | null {
  const { verdict, reason } = standing(lamp);
  if (verdict !== 'fail') return null;
  const { circuit } = status;
  const retest = status.retests.find(({ luminaire }) => luminaire === lamp.luminaire);
  return {
    ...{ circuit, luminaire: lamp.luminaire, title: t.attention.failed, detail: sentence(reason), rank: 3 },
    ...{ since: lamp.failedSince, waitFor: retest?.at ?? 0, waitWords: t.attention.retestAt },
    next: retest ? t.attention.retestOpen : t.attention.failedNext,
  };
}

/** A test that somebody stopped: nobody is to look for a fault. */
function stoppedConcern({ kind, at, by, who, unjudged, luminaires, nextAt }: StoppedView): Whole {
  const said = t.attention;
  const whom = who === '' ? said.stoppers[by] : who;
  const what = said.stoppedBy(capital(t.kinds[kind]), whom, unjudged, luminaires);
  return {
    ...{ rank: 4, title: said.stopped, detail: what, since: at },
    ...{ next: said.againOpen, waitFor: nextAt },
  };
}

/** What else is wrong with a circuit, beside its present state. */
function circuitConcerns(status: ControllerStatus): Whole[] {
  const { overdue, troubleAt } = status;
  const said = t.attention;
  const found: Whole[] = status.stopped && !isTesting(status) ? [stoppedConcern(status.stopped)] : [];
  if (overdue > 0)
    found.push({
      ...{ rank: 4, title: said.overdue(overdue), since: troubleAt.overdue },
      ...{ detail: said.overdueMore, next: said.overdueNext },
    });
  if (status.heldLong && isHeard(status))
    found.push({
      ...{ rank: 4, title: said.held, since: troubleAt.held },
      ...{ detail: hostWords(status.sentence), next: said.heldNext },
    });
  if (status.anewAt > 0)
    found.push({
      ...{ rank: 4, title: said.anew, since: status.anewAt, detail: said.anewMore, next: said.anewNext },
    });
  if (status.fullOverdue)
    found.push({
      ...{ rank: 4, title: status.fullAt > 0 ? said.fullOverdue : said.neverFull, since: status.fullDueAt },
      detail: status.fullAt > 0 ? said.fullOverdueMore : said.neverFullMore,
      next: said.fullOverdueNext,
    });
  return found;
}

/** Those of a circuit that are alike become one, if they are all of it that has not failed. */
function together({ unproven: list, lamps }: ControllerStatus): ControllerStatus['unproven'] {
  const [first] = list;
  const others = lamps.filter((lamp) => standing(lamp).verdict !== 'fail');
  const isAlike = list.every(({ since, detail }) => since === first.since && detail === first.detail);
  if (list.length < 2 || list.length < others.length || !isAlike) return list;
  return [{ ...first, luminaire: '' }];
}

/** What no test has proven; a circuit only if nothing else about it says why. */
function unproven(status: ControllerStatus, hasCause: boolean): Concern[] {
  const { circuit } = status;
  return together(status)
    .filter(({ luminaire }) => luminaire !== '' || !hasCause)
    .map(({ luminaire, since, detail, next }) => ({
      ...{ circuit, luminaire, since, waitFor: 0, waitWords: t.attention.retestAt },
      ...{ rank: 4, title: t.defects.notProven },
      ...{ detail: hostWords(detail), next: hostWords(next) },
    }));
}

function concernsOf(status: ControllerStatus): Concern[] {
  const { circuit } = status;
  const state = stateConcern(status);
  const whole = [...(state ? [state] : []), ...circuitConcerns(status)];
  return [
    ...whole.map((one) => ({
      ...{ circuit, luminaire: '', waitFor: 0, waitWords: t.attention.againAt },
      ...one,
    })),
    ...status.lamps.flatMap((lamp) => failed(status, lamp) ?? []),
    ...unproven(status, whole.length > 0),
  ];
}

/** Everything that needs attention, most urgent first; ties by circuit and luminaire. */
export function concerns(controllers: ControllerStatus[]): Concern[] {
  return controllers
    .flatMap(concernsOf)
    .sort(
      (a, b) =>
        a.rank - b.rank || a.circuit.localeCompare(b.circuit) || a.luminaire.localeCompare(b.luminaire),
    );
}

/** Where a concern is: the place of the luminaire, or the name of the circuit. */
export function placeOf({ circuit, luminaire }: Concern, circuits: readonly Circuit[]): string {
  const found = circuits.find(({ id }) => id === circuit);
  if (luminaire === '') return found?.name ?? '';
  return found?.luminaires.find(({ id }) => id === luminaire)?.place ?? '';
}

/** "Since Tue 3 Mar 2026, 9 days"; '' if it is not known since when. */
export function sinceWords({ since }: Pick<Concern, 'since'>, nowSec: number, zone: string): string {
  if (since === 0) return '';
  const days = Math.floor((nowSec - since) / 86_400);
  if (days < 1) return t.attention.since(dayAndTime(since, zone));
  return t.attention.sinceDays(dayOf(since, zone), days);
}

/** What to do next, with the date to wait for. */
export function nextWords({ next, waitFor, waitWords }: Concern, zone: string): string {
  return waitFor > 0 ? waitWords(dayAndTime(waitFor, zone)) : next;
}
