// What needs attention, the worst first: what it is, where, since when, and what to do next.
import type { ControllerStatus, LampStatus } from '../../api/views';
import type { Circuit } from '../../site/model';
import { dayAndTime, dayOf } from './time';
import { isHeard, isTesting, standing } from './tone';

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
  /** UTC second to wait for before that, 0 if there is none. */
  waitFor: number;
  /** 0 is the most urgent. */
  rank: number;
}

type Whole = Omit<Concern, 'circuit' | 'luminaire' | 'waitFor'>;

/** What makes everything else about a circuit secondary. */
function stateConcern(status: ControllerStatus): Whole | null {
  const { sentence: detail, troubleAt, heardAt } = status;
  if (status.contact === 'never heard') {
    const next = 'Check its supply and its network, and that it was set up for this circuit.';
    return { rank: 5, title: 'Controller never heard from', detail, since: 0, next };
  }
  if (!isHeard(status)) {
    const next = 'Check the controller’s supply and its network; go and see whether the mains is on.';
    return { rank: 2, title: 'Controller silent', detail, since: heardAt, next };
  }
  if (status.phase === 'outage') {
    const next = 'Find out why the mains is off.';
    return { rank: 0, title: 'Mains outage', detail, since: troubleAt.outage, next };
  }
  const next = 'Look at the tester: relay, sensors, wiring. When it is repaired, clear the fault.';
  if (status.phase === 'fault')
    return { rank: 1, title: 'Tester fault', detail, since: troubleAt.fault, next };
  if (status.redLamp === true && !isTesting(status)) {
    const now = 'Go there now and restore the supply by hand.';
    return { rank: 0, title: 'Supply not confirmed', detail, since: troubleAt.fault, next: now };
  }
  return null;
}

function sentence(text: string): string {
  const end = text === '' || text.endsWith('.') ? '' : '.';
  return text.charAt(0).toUpperCase() + text.slice(1) + end;
}

function failed(status: ControllerStatus, lamp: LampStatus): Concern | null {
  const { verdict, reason } = standing(lamp);
  if (verdict !== 'fail') return null;
  const { circuit } = status;
  const retest = status.retests.find(({ luminaire }) => luminaire === lamp.luminaire);
  const repaired =
    retest?.at === 0 ? 'Repaired; its retest is being planned.' : 'Repaired; wait for the retest on';
  return {
    ...{ circuit, luminaire: lamp.luminaire, title: 'Luminaire failed', detail: sentence(reason), rank: 3 },
    ...{ since: lamp.failedSince, waitFor: retest?.at ?? 0 },
    next: retest ? repaired : 'Repair it, then report the repair on its page.',
  };
}

/** What else is wrong with a circuit, beside its present state. */
function circuitConcerns(status: ControllerStatus): Whole[] {
  const { overdue, troubleAt } = status;
  const found: Whole[] = [];
  if (overdue > 0)
    found.push({
      ...{
        rank: 4,
        title: overdue === 1 ? '1 test overdue' : `${overdue} tests overdue`,
        since: troubleAt.overdue,
      },
      detail: 'Its test window has passed without a result.',
      next: 'Its page says what it waits for; or start the test while someone works there.',
    });
  if (status.heldLong && isHeard(status))
    found.push({
      ...{ rank: 4, title: 'Testing still on hold', detail: status.sentence, since: troubleAt.held },
      next: 'Release the hold as soon as the work is finished.',
    });
  if (status.anewAt > 0)
    found.push({
      ...{ rank: 4, title: 'Controller began with an empty memory', since: status.anewAt },
      detail:
        'Its memory was erased, or it was replaced. What it had not yet sent is lost; settings and plan are sent ' +
        'again by themselves.',
      next: 'If nobody replaced it, have it looked at. Shown until its next test is completed.',
    });
  if (status.fullOverdue)
    found.push({
      ...{ rank: 4, title: status.fullAt > 0 ? 'Duration test overdue' : 'Never had a duration test' },
      since: status.fullDueAt,
      detail:
        status.fullAt > 0
          ? 'The last duration test was longer ago than the rules permit. Limited duration tests do not count.'
          : 'The rules ask for the first duration test within the same time as for the next ones.',
      next: 'Start a duration test while someone works there, or have the test windows widened.',
    });
  return found;
}

function concernsOf(status: ControllerStatus): Concern[] {
  const { circuit } = status;
  const state = stateConcern(status);
  const whole = [...(state ? [state] : []), ...circuitConcerns(status)];
  return [
    ...whole.map((one) => ({ circuit, luminaire: '', waitFor: 0, ...one })),
    ...status.lamps.flatMap((lamp) => failed(status, lamp) ?? []),
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
export function sinceWords({ since }: Concern, nowSec: number, zone: string): string {
  if (since === 0) return '';
  const days = Math.floor((nowSec - since) / 86_400);
  if (days < 1) return `Since ${dayAndTime(since, zone)}`;
  return `Since ${dayOf(since, zone)}, ${days} day${days === 1 ? '' : 's'}`;
}

/** What to do next, with the date to wait for. */
export function nextWords({ next, waitFor }: Concern, zone: string): string {
  return waitFor > 0 ? `${next} ${dayAndTime(waitFor, zone)}.` : next;
}
