// Repairs what was reported: some days after the report an electrician comes and repairs everything then
// wrong with the luminaire. A failure begins where a luminaire would no longer last its rated duration even
// after a full recharge; all instants in simulated ms.
import { fullMsAt } from '../plant/battery';
import type { CircuitPlant } from '../plant/circuit';
import { isLitOnBattery, type Luminaire, plantLuminaireFault } from '../plant/luminaire';
import type { LuminaireFault, OwnFault } from '../plant/luminaireFaults';
import type { Span } from '../plant/spans';
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
  private readonly isCounted = new Set<LuminaireFault>();

  /** @param repairMs from a report to the repair, ms */
  constructor(
    private readonly plant: CircuitPlant,
    readonly repairMs: number,
  ) {
    this.visitAt = plant.luminaires.map(() => Number.NEGATIVE_INFINITY);
  }

  /**
   * Luminaire number `place` is reported at `at`: it will be repaired, unless someone is already on the way.
   */
  report(place: number, at: number): void {
    if (this.visitAt[place] >= at) return;
    const l = this.plant.luminaires[place];
    const visitAt = at + this.repairMs;
    this.visitAt[place] = visitAt;
    settle(l, at);
    const found = this.mend(l, at, visitAt);
    if (found === 0) this.soundReported++;
    this.lookAgain(l, visitAt);
  }

  /**
   * The sensor of luminaire number `place` is reported: nothing is proven of the lamp until it is repaired.
   */
  reportSensor(place: number, at: number): void {
    const l = this.plant.luminaires[place];
    const visitAt = at + this.repairMs;
    for (const fault of l.faults)
      if (fault.kind.startsWith('sensor') && fault.from <= at && fault.to > visitAt) fault.to = visitAt;
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

  /** Ends the luminaire's faults with the visit. @returns failures present at the report */
  private mend(l: Luminaire, at: number, visitAt: number): number {
    let found = 0;
    const worn = wornAt(l, visitAt);
    const ailing = failing(l).filter((fault) => fault.from <= visitAt && fault.to > at);
    for (const fault of ailing) {
      const foundAt = fault.from <= at ? at : visitAt;
      if (foundAt === at) found++;
      if (!isAgain(fault, failing(l))) this.note(l, fault, foundAt);
      fault.to = Math.min(fault.to, visitAt);
    }
    if (worn === undefined || ailing.some((fault) => fault.kind === 'aged battery')) return found;
    if (worn <= at) found++;
    const foundAt = worn <= at ? at : visitAt;
    this.known.push({ luminaire: l.spec.id, what: 'worn battery', at: worn, foundAt });
    // Its battery stays as it is until the visit fits a new one.
    plantLuminaireFault(l, {
      ...{ kind: 'aged battery', lastsMs: Math.max(1, fullMsAt(l.battery, at)) },
      ...{ from: at, to: visitAt },
    });
    this.isCounted.add(l.faults[l.faults.length - 1]);
    return found;
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
