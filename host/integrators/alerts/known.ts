// Which alarms of each circuit are known, over restarts: what is not yet known is new, and what no longer lasts is over.
import { z } from 'zod';
import type { Memory } from '../../logbook/memory';
import { isoLocal } from '../../site/civil';
import type { Site } from '../../site/model';
import type { CircuitMessages } from '../status';
import {
  type Alarm,
  type AlertEvent,
  alarmKey,
  alarmSchema,
  alarmsOf,
  alertsBetween,
  wasBefore,
} from './alarms';
import { recalled } from './recalled';

export interface KnownOptions {
  site: Site;
  memory: Memory;
  /** UTC second. */
  now(): number;
  /** Gets what has changed, before it counts as known: after a crash in between it is told twice rather than never. */
  tell(events: AlertEvent[]): void;
}

export interface KnownAlarms {
  /** What lasts in a circuit now. */
  look(messages: CircuitMessages): void;
}

const SET_UP = 'alerts set up';
const KNOWN = 'alerts known';

/** Of each circuit that was looked at; `before` is what was so before alerts were set up, which nobody is told of. */
const knownSchema = z.record(z.string(), z.array(alarmSchema.extend({ before: z.boolean().default(false) })));
type KnownAlarm = z.infer<typeof knownSchema>[string][number];

function byKey<T extends Alarm>(list: T[]): Map<string, T> {
  return new Map(list.map((alarm) => [alarmKey(alarm), alarm]));
}

class Known implements KnownAlarms {
  private readonly circuits: Map<string, KnownAlarm[]>;
  private readonly setUpAt: number;

  constructor(private readonly o: KnownOptions) {
    const { memory, now } = o;
    // Set up with a clock that has been put back since: later than now it cannot have been.
    this.setUpAt = Math.min(now(), Number(memory.recall(SET_UP) || now()));
    memory.remember(SET_UP, String(this.setUpAt));
    this.circuits = new Map(Object.entries(recalled(memory, KNOWN, knownSchema) ?? {}));
    this.forgetRemoved();
  }

  look(messages: CircuitMessages): void {
    const id = messages.circuit.circuit;
    const list = this.circuits.get(id);
    const isBefore = new Map(list?.map((alarm) => [alarmKey(alarm), alarm.before]));
    const present = alarmsOf(messages).map((alarm) => ({
      ...alarm,
      before: list ? isBefore.get(alarmKey(alarm)) === true : wasBefore(alarm, this.setUpAt),
    }));
    const isSame = list?.length === present.length && present.every((one) => isBefore.has(alarmKey(one)));
    if (!isSame) this.change(id, present);
  }

  private change(id: string, present: KnownAlarm[] | undefined): void {
    const { site, tell, now, memory } = this.o;
    const told = (list: KnownAlarm[] = []) => byKey(list.filter(({ before }) => !before).map(withoutBefore));
    tell(alertsBetween(told(this.circuits.get(id)), told(present), isoLocal(site.timeZone, now())));
    if (present) this.circuits.set(id, present);
    else this.circuits.delete(id);
    memory.remember(KNOWN, JSON.stringify(Object.fromEntries(this.circuits)));
  }

  /** Nobody will ever report on what is no longer in the site file. */
  private forgetRemoved(): void {
    const present = new Set(this.o.site.circuits.map(({ id }) => id));
    for (const [id, list] of this.circuits) {
      if (present.has(id)) continue;
      const words = `The site file has no circuit ${id} any more.`;
      this.circuits.set(
        id,
        list.map((alarm) => ({ ...alarm, words })),
      );
      this.change(id, undefined);
    }
  }
}

function withoutBefore({ before, ...alarm }: KnownAlarm): Alarm {
  return alarm;
}

/** See `KnownAlarms`. */
export function newKnownAlarms(o: KnownOptions): KnownAlarms {
  return new Known(o);
}
