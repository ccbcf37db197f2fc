// What people have decided about the circuits of a site, kept at hand so that not every look at a circuit
// reads the log book. Another process may write notes too, so it is read anew now and then.
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import type { Plan } from '../planner/plan';
import type { OrderOutcome } from '../server/api';
import type { Circuit, Site } from '../site/model';
import { type Attended, attendedRefusal, attendedWindow, windowWords, writeAttended } from './attended';
import { type Accepted, acceptedBaselines, withBaselines } from './baseline';

export interface People {
  /** Reads the notes anew. */
  refresh(): void;
  /** The circuit with the lamp currents in force. */
  inForce(circuit: Circuit): Circuit;
  /** The window last entered, also one that is over. */
  attended(circuit: string): Attended | undefined;
  /** Enters a window from `now` on, or with 0 hours calls off the one there is. */
  attend(circuit: string, hours: number, who: string, now: number): OrderOutcome;
}

export interface PeopleOptions {
  site: Site;
  logbook: Pick<Logbook, 'page' | 'appendNext'>;
  keys: KeyRing;
  plan(): Plan | undefined;
  /** Called after a window of a circuit was entered or called off. */
  onChange(circuit: string): void;
}

class PeopleDesk implements People {
  private readonly accepted = new Map<string, Map<string, Accepted>>();
  private readonly windows = new Map<string, Attended>();

  constructor(private readonly o: PeopleOptions) {
    this.refresh();
  }

  refresh(): void {
    const { site, logbook, keys } = this.o;
    for (const circuit of site.circuits) {
      const address = `${site.id}/${circuit.id}`;
      this.accepted.set(circuit.id, acceptedBaselines(logbook, keys, address, circuit));
      const window = attendedWindow(logbook, keys, address);
      if (window) this.windows.set(circuit.id, window);
      else this.windows.delete(circuit.id);
    }
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
    this.refresh();
    this.o.onChange(circuit);
    const what =
      hours === 0
        ? 'The window is called off'
        : `Tests may be started by order from ${windowWords(window, site.timeZone)}`;
    return { ok: true, answer: `${what}; the controller is told within a minute or two.` };
  }
}

/** See `People`. */
export function createPeople(options: PeopleOptions): People {
  return new PeopleDesk(options);
}
