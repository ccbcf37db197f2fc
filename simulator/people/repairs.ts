// Repairs what was reported: some days after the report an electrician comes, isolates the circuit and repairs
// everything then wrong with the luminaire. A failure begins where a luminaire would no longer last its rated duration even
// after a full recharge; all instants in simulated ms.
import { fullMsAt } from '../plant/battery';
import type { CircuitPlant } from '../plant/circuit';
import { isLitOnBattery, type Luminaire, plantLuminaireFault } from '../plant/luminaire';
import type { LuminaireFault, OwnFault } from '../plant/luminaireFaults';
import { addSpan, isIn, type Span } from '../plant/spans';
import { type CallOut, visitAfter } from './callOut';
import { firstWhere } from './search';

/** Faults after which a luminaire would not last its rated duration. */
export type Ailment = Extract<
  OwnFault['kind'],
  'dead lamp' | 'battery open' | 'aged battery' | 'charger dead'
>;
const AILMENTS: ReadonlySet<string> = new Set<Ailment>([
  'dead lamp',
  'battery open',
  'aged battery',
  'charger dead',
]);

export type AilmentFault = Span & Extract<OwnFault, { kind: Ailment }>;

export interface Failure {
  luminaire: string;
  /** `worn battery`: faded by age alone. */
  what: Ailment | 'worn battery';
  at: number;
  /** When someone was told of it, or found it while repairing another; missing: unknown. */
  foundAt?: number;
}

export function isAilment(fault: LuminaireFault): fault is AilmentFault {
  return AILMENTS.has(fault.kind);
}

/** Faults that leave the luminaire short of its rated duration; an aged battery may still reach it. */
function failing(l: Luminaire): AilmentFault[] {
  const ratedMs = l.spec.ratedSec * 1000;
  return l.faults.filter(isAilment).filter((f) => f.kind !== 'aged battery' || f.lastsMs < ratedMs);
}

/** Whether a part that was already broken breaks again. */
function isAgain(fault: AilmentFault, among: AilmentFault[]): boolean {
  return among.some((other) => other.kind === fault.kind && other.from < fault.from && fault.from < other.to);
}

/** Applies the faults due by `at`. */
function settle(l: Luminaire, at: number): void {
  isLitOnBattery(l, at);
}

/** When age alone took the battery below the rated duration; undefined if it has not by `at`. */
function wornAt(l: Luminaire, at: number): number | undefined {
  const ratedMs = l.spec.ratedSec * 1000;
  const isWorn = (now: number) => fullMsAt(l.battery, now) < ratedMs;
  if (l.battery.lastsMs > 0 || !isWorn(at)) return undefined;
  return firstWhere(isWorn, l.battery.fittedAt, at);
}

export class Repairs {
  /** Known failures, in the order in which they became known. */
  readonly known: Failure[] = [];
  /** Reports on luminaires with nothing wrong. */
  soundReported = 0;
  private readonly visitAt: number[];
  /** Sorted, disjoint; those over are dropped. */
  private readonly visits: Span[] = [];
  private readonly isCounted = new Set<LuminaireFault>();

  constructor(
    private readonly plant: CircuitPlant,
    private readonly callOut: CallOut,
  ) {
    this.visitAt = plant.luminaires.map(() => Number.NEGATIVE_INFINITY);
  }

  /** When someone comes after a report at `at`. */
  visitAfter(at: number): number {
    return visitAfter(this.callOut, at).from;
  }

  /**
   * Luminaire number `place` is reported at `at`: it will be repaired, unless someone is already on the way.
   * @param since when the test began that found it: what was repaired only after that was rightly reported
   */
  report(place: number, at: number, since = at): void {
    if (this.visitAt[place] >= at) return;
    const l = this.plant.luminaires[place];
    const visitAt = this.comeAfter(at);
    this.visitAt[place] = visitAt;
    settle(l, at);
    const found = this.mend(l, since, at, visitAt);
    if (found === 0) this.soundReported++;
    this.lookAgain(l, visitAt);
  }

  /** Whether the supply is off at `now` because someone works on the circuit. */
  isIsolated(now: number): boolean {
    return isIn(this.visits, now);
  }

  /** Someone will come, and isolates the circuit. @returns when */
  private comeAfter(at: number): number {
    const visit = visitAfter(this.callOut, at);
    addSpan(this.plant.outages, visit);
    addSpan(this.visits, visit);
    return visit.from;
  }

  /**
   * The sensor of luminaire number `place` is reported: nothing is proven of the lamp until it is repaired.
   */
  reportSensor(place: number, at: number): void {
    const l = this.plant.luminaires[place];
    const visitAt = this.visitAfter(at);
    const broken = l.faults.filter(
      ({ kind, from, to }) => kind.startsWith('sensor') && from <= at && to > visitAt,
    );
    // Until then every test reports it again.
    if (broken.length === 0) return;
    for (const fault of broken) fault.to = visitAt;
    this.comeAfter(at);
    this.lookAgain(l, visitAt);
  }

  /** What was prepared earlier does not include the visit. */
  private lookAgain(l: Luminaire, visitAt: number): void {
    l.faultsChangeAt = Math.min(l.faultsChangeAt, visitAt);
    this.plant.readings.until = Math.min(this.plant.readings.until, 0);
  }

  /** A tester fault brings someone who checks every luminaire of the circuit and reports what is wrong. */
  reportAll(at: number): void {
    this.plant.luminaires.forEach((l, place) => {
      settle(l, at);
      const isAmiss = failing(l).some((f) => f.from <= at && at < f.to) || wornAt(l, at) !== undefined;
      if (isAmiss) this.report(place, at);
    });
  }

  /** Ends the luminaire's faults with the visit. @returns failures present at some time from `since` to the report */
  private mend(l: Luminaire, since: number, at: number, visitAt: number): number {
    const worn = wornAt(l, visitAt);
    const ailing = failing(l).filter((fault) => fault.from <= visitAt && fault.to > since);
    const found = ailing.filter((fault) => fault.from <= at).length;
    const aged = ailing.find(({ kind }) => kind === 'aged battery');
    const isWorn = worn !== undefined && (aged === undefined || worn <= at);
    // A battery that was worn before does not fail a second time.
    if (isWorn && aged) this.isCounted.add(aged);
    for (const fault of ailing) {
      const foundAt = fault.from <= at ? at : visitAt;
      if (!isAgain(fault, failing(l))) this.note(l, fault, foundAt);
      fault.to = Math.min(fault.to, visitAt);
    }
    if (!isWorn) return found;
    const isSeen = worn <= at;
    const foundAt = isSeen ? at : visitAt;
    this.known.push({ luminaire: l.spec.id, what: 'worn battery', at: worn, foundAt });
    // Its battery stays as it is until it breaks altogether, or the visit fits a new one.
    plantLuminaireFault(l, {
      ...{ kind: 'aged battery', lastsMs: Math.max(1, fullMsAt(l.battery, at)) },
      ...{ from: at, to: aged?.from ?? visitAt },
    });
    this.isCounted.add(l.faults[l.faults.length - 1]);
    return isSeen ? found + 1 : found;
  }

  private note(l: Luminaire, fault: AilmentFault, foundAt: number): void {
    if (this.isCounted.has(fault)) return;
    this.isCounted.add(fault);
    this.known.push({ luminaire: l.spec.id, what: fault.kind, at: fault.from, foundAt });
  }

  /** Failures present at `at` that nobody knows of. */
  unknown(at: number): Failure[] {
    const failures: Failure[] = [];
    for (const l of this.plant.luminaires) {
      settle(l, at);
      const ailing = failing(l).filter((f) => f.from <= at && at < f.to && !this.isCounted.has(f));
      for (const fault of ailing)
        if (!isAgain(fault, failing(l)))
          failures.push({ luminaire: l.spec.id, what: fault.kind, at: fault.from });
      const worn = wornAt(l, at);
      if (worn !== undefined) failures.push({ luminaire: l.spec.id, what: 'worn battery', at: worn });
    }
    return failures;
  }
}
