// What needs attention, the worst first.
import type { ControllerStatus } from '../../api/views';
import { isHeard, isTesting, standing } from './tone';

export interface Concern {
  circuit: string;
  /** Empty if the whole circuit is meant. */
  luminaire: string;
  /** What it is, in a few words. */
  title: string;
  /** What is known about it. */
  detail: string;
  /** 0 is the most urgent. */
  rank: number;
}

function circuitConcern(status: ControllerStatus): Omit<Concern, 'circuit' | 'luminaire'> | null {
  const detail = status.sentence;
  if (status.contact === 'never heard') return { rank: 5, title: 'Controller never heard from', detail };
  if (!isHeard(status)) return { rank: 2, title: 'Controller silent', detail };
  if (status.phase === 'outage') return { rank: 0, title: 'Mains outage', detail };
  if (status.phase === 'fault') return { rank: 1, title: 'Tester fault', detail };
  if (status.redLamp === true && !isTesting(status))
    return { rank: 0, title: 'Supply not confirmed', detail };
  return null;
}

function sentence(text: string): string {
  const end = text === '' || text.endsWith('.') ? '' : '.';
  return text.charAt(0).toUpperCase() + text.slice(1) + end;
}

function concernsOf(status: ControllerStatus): Concern[] {
  const circuit = status.circuit;
  const found: Concern[] = [];
  const whole = circuitConcern(status);
  if (whole) found.push({ circuit, luminaire: '', ...whole });
  for (const lamp of status.lamps) {
    const { verdict, reason } = standing(lamp);
    if (verdict === 'fail')
      found.push({
        circuit,
        luminaire: lamp.luminaire,
        title: 'Luminaire failed',
        detail: sentence(reason),
        rank: 3,
      });
  }
  if (status.overdue > 0) {
    const title = status.overdue === 1 ? '1 test overdue' : `${status.overdue} tests overdue`;
    found.push({
      circuit,
      luminaire: '',
      title,
      detail: 'Its test window has passed without a result.',
      rank: 4,
    });
  }
  if (status.heldLong && isHeard(status))
    found.push({ circuit, luminaire: '', title: 'Testing still on hold', detail: status.sentence, rank: 4 });
  if (status.anewAt > 0) {
    const detail =
      'Its memory was erased, or it was replaced. What it had not yet sent is lost; settings and plan are sent ' +
      'again by themselves. Shown until its next test is completed.';
    found.push({ circuit, luminaire: '', title: 'Controller began with an empty memory', detail, rank: 4 });
  }
  if (status.fullOverdue) {
    const detail =
      'The last duration test was longer ago than the rules permit. Limited duration tests do not count.';
    found.push({ circuit, luminaire: '', title: 'Duration test overdue', detail, rank: 4 });
  }
  return found;
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
