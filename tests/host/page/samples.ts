// Small invented states for the page's tests.
import type { ControllerStatus, LampStatus, LogEntryView, StatusView } from '../../../host/api/views';

export function lamp(luminaire: string, more: Partial<LampStatus> = {}): LampStatus {
  return {
    luminaire,
    verdict: 'pass',
    reason: '',
    at: 1_000,
    kind: 'brief',
    ...{ proven: null, attempt: null, judgedAt: 0, voids: {}, failedSince: 0, failedKind: '' },
    fullSeconds: 3600,
    fullVerdict: 'pass',
    fullAt: 500,
    ...more,
  };
}

export function controller(circuit: string, more: Partial<ControllerStatus> = {}): ControllerStatus {
  return {
    circuit,
    contact: 'reporting',
    heardAt: 1_000,
    recordAt: 0,
    phase: 'charged',
    sentence: 'Batteries charged.',
    waiting: '',
    supplyBefore: true,
    supplyAfter: true,
    relayOpen: false,
    redLamp: false,
    occupied: false,
    kind: '',
    since: 0,
    length: 0,
    charged: 0,
    overdue: 0,
    stopped: null,
    held: null,
    troubleAt: { fault: 0, outage: 0, held: 0, overdue: 0 },
    retests: [],
    heldLong: false,
    anewAt: 0,
    attended: null,
    fullAt: 0,
    fullDueAt: 0,
    fullOverdue: false,
    unproven: [],
    lamps: [],
    live: null,
    ...more,
  };
}

/** A circuit whose luminaires run on battery in a duration test. */
export function underTest(circuit: string, more: Partial<ControllerStatus> = {}): ControllerStatus {
  const running = { phase: 'full', kind: 'full', since: 900, length: 3600 } as const;
  return controller(circuit, { ...running, supplyAfter: false, relayOpen: true, redLamp: true, ...more });
}

export function status(controllers: ControllerStatus[]): StatusView {
  const counts = { pass: 0, fail: 0, void: 0, untested: 0 };
  const notice = {
    at: 1_000,
    entries: [],
    unknown: [],
    unproven: [],
    known: controllers.length,
    ifPowerFails: '',
  };
  return { now: 1_000, speed: 1, controllers, tonight: [], notice, counts, checkpoint: null, taking: null };
}

export function entry(n: number): LogEntryView {
  return { entry: n, at: n, circuit: 'g-1', kind: 'result', text: '', mark: 'pass', body: '', hash: '' };
}
