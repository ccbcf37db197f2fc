// What people have decided about the circuits of a site, kept at hand so that not every look at a circuit
// reads the log book. Another process may write notes too, so it is read anew now and then.

import type { BaselineView, OrderOutcome, RepairPart } from '../api/views';
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import type { Owed } from '../planner/keep';
import type { Plan } from '../planner/plan/plan';
import type { Circuit, Site } from '../site/model';
import { type Attended, attendedRefusal, attendedWindow, windowWords, writeAttended } from './attended';
import {
  type Accepted,
  acceptBaseline,
  acceptedBaselines,
  currentsIn,
  newestMeasurement,
  rowWords,
  withBaselines,
} from './baseline';
import { owedAfterRepairs, repairWords, retestKind, retestOf, unprovenRepair, writeRepair } from './repairs';

export interface People {
  /** Reads the notes anew. */
  refresh(): void;
  /** The circuit with the lamp currents in force. */
  inForce(circuit: Circuit): Circuit;
  /** The window last entered, also one that is over. */
  attended(circuit: string): Attended | undefined;
  /** Enters a window from `now` on, or with 0 hours calls off the one there is. */
  attend(circuit: string, hours: number, who: string, now: number): OrderOutcome;
  /** Tests that repairs ask for and that have not been made since. */
  owed(circuit: string): Owed[];
  /** The currents of a luminaire of the site. */
  baseline(circuit: string, luminaire: string): BaselineView;
  /** Accepts what the newest complete test measured of a luminaire. */
  accept(circuit: string, luminaire: string, who: string, now: number): OrderOutcome;
  /** Enters that a luminaire was repaired; its test is owed from then on. */
  repaired(circuit: string, repair: Mended): OrderOutcome;
  /** The repair of a luminaire whose test is still owed, in words; '' when there is none. */
  unproven(circuit: string, luminaire: string): string;
}

export interface Mended {
  luminaire: string;
  part: RepairPart;
  who: string;
  /** UTC second. */
  at: number;
}

export interface PeopleOptions {
  site: Site;
  logbook: Pick<Logbook, 'page' | 'appendNext' | 'results'>;
  /** Least share of the commissioned current that counts as lit, %. */
  floorPercent: number;
  keys: KeyRing;
  plan(): Plan | undefined;
  /** Called after something about a circuit was written. */
  onChange(circuit: string): void;
}

class PeopleDesk implements People {
  private readonly accepted = new Map<string, Map<string, Accepted>>();
  private readonly windows = new Map<string, Attended>();

  constructor(private readonly o: PeopleOptions) {
    this.refresh();
  }

  refresh(): void {
    for (const circuit of this.o.site.circuits) this.read(circuit);
  }

  private read(circuit: Circuit): void {
    const { site, logbook, keys } = this.o;
    const address = `${site.id}/${circuit.id}`;
    this.accepted.set(circuit.id, acceptedBaselines(logbook, keys, address, circuit));
    const window = attendedWindow(logbook, keys, address);
    if (window) this.windows.set(circuit.id, window);
    else this.windows.delete(circuit.id);
  }

  /** Takes up what was just written about a circuit. */
  private taken(circuit: string): void {
    this.read(this.circuit(circuit));
    this.o.onChange(circuit);
  }

  inForce(circuit: Circuit): Circuit {
    return withBaselines(circuit, this.accepted.get(circuit.id) ?? new Map());
  }

  attended(circuit: string): Attended | undefined {
    return this.windows.get(circuit);
  }

  attend(circuit: string, hours: number, who: string, now: number): OrderOutcome {
    const { site, logbook, keys } = this.o;
    const present = this.windows.get(circuit);
    if (hours === 0 && !(present && present.to > now))
      return { ok: false, answer: 'There is no such window to end.' };
    const window = hours === 0 ? { from: 0, to: 0 } : { from: now, to: now + hours * 3600 };
    const plan = this.o.plan();
    const refusal =
      hours === 0 ? '' : plan ? attendedRefusal(site, plan, circuit, window, now) : 'There is no plan yet.';
    if (refusal !== '') return { ok: false, answer: refusal };
    try {
      writeAttended(logbook, keys, { address: `${site.id}/${circuit}`, at: now, who, ...window });
    } catch (error) {
      return { ok: false, answer: `Nothing was entered. ${(error as Error).message}` };
    }
    this.taken(circuit);
    const what =
      hours === 0
        ? 'The window is called off'
        : `Tests may be started by order from ${windowWords(window, site.timeZone)}`;
    return { ok: true, answer: `${what}; the controller is told within a minute or two.` };
  }

  owed(circuit: string): Owed[] {
    const { site, logbook, keys } = this.o;
    return owedAfterRepairs(logbook, keys, site, this.circuit(circuit));
  }

  baseline(circuitId: string, id: string): BaselineView {
    const circuit = this.circuit(circuitId);
    const accepted = this.accepted.get(circuitId)?.get(id);
    const { site, logbook, floorPercent } = this.o;
    const found = newestMeasurement(logbook, `${site.id}/${circuitId}`, circuit, floorPercent);
    const lamp = found?.lamps.find((one) => one.luminaire === id);
    const mains = lamp?.seenOnMains ? lamp.mains : null;
    return {
      site: currentsIn(circuit, id),
      inForce: currentsIn(this.inForce(circuit), id),
      accepted: accepted ? { who: accepted.who, at: accepted.at } : null,
      measured: found && lamp ? { battery: lamp.battery, mains, at: found.at, refusal: lamp.refusal } : null,
    };
  }

  accept(circuitId: string, luminaire: string, who: string, now: number): OrderOutcome {
    const { site, logbook, keys, floorPercent } = this.o;
    const circuit = this.circuit(circuitId);
    const address = `${site.id}/${circuitId}`;
    try {
      const outcome = acceptBaseline(logbook, keys, {
        ...{ address, circuit, who, at: now, floorPercent },
        luminaires: [luminaire],
      });
      if ('refusals' in outcome) return { ok: false, answer: outcome.refusals.join(' ') };
      this.taken(circuitId);
      const rows = outcome.rows.map(rowWords).join('; ');
      return {
        ok: true,
        answer: `From now on in force: ${rows}. The controller is told within a minute or two.`,
      };
    } catch (error) {
      return { ok: false, answer: `Nothing was accepted. ${(error as Error).message}` };
    }
  }

  repaired(circuitId: string, { luminaire, part, who, at }: Mended): OrderOutcome {
    const { site, logbook, keys } = this.o;
    const circuit = this.circuit(circuitId);
    const address = `${site.id}/${circuitId}`;
    if (!circuit.luminaires.some((lamp) => lamp.id === luminaire))
      return { ok: false, answer: `Circuit ${circuitId} has no luminaire ${luminaire}.` };
    // What feeds the lamp shows only in a long test (common practice).
    const retest =
      part === 'other' ? retestKind(logbook, address, circuit, [luminaire]) : retestOf(circuit, 'full');
    const fields = { luminaires: luminaire, what: part === 'other' ? '' : `${part} changed`, retest };
    try {
      writeRepair(logbook, keys, { address, at, who, ...fields });
    } catch (error) {
      return { ok: false, answer: `Nothing was entered. ${(error as Error).message}` };
    }
    this.taken(circuitId);
    return {
      ok: true,
      answer: `Entered: ${repairWords(fields, at, site.timeZone)} The plan makes room for it.`,
    };
  }

  unproven(circuit: string, luminaire: string): string {
    const { site, logbook, keys } = this.o;
    return unprovenRepair(logbook, keys, site, this.circuit(circuit), luminaire);
  }

  private circuit(id: string): Circuit {
    return this.o.site.circuits.find((circuit) => circuit.id === id)!;
  }
}

/** See `People`. */
export function createPeople(options: PeopleOptions): People {
  return new PeopleDesk(options);
}
