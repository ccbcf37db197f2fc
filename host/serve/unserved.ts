// Tells people and other systems of a building that is not served, whose own alerts are silent then. What waits to be sent
// is in memory: the log book may be what cannot be used.
import { guarded } from '../guarded';
import type { AlertEvent } from '../integrators/alerts/alarms';
import { type AlertedSite, receiversOf } from '../integrators/alerts/alerts';
import type { Queue } from '../integrators/alerts/queue';
import { openQueues } from '../integrators/alerts/receivers';
import type { AlertSettings } from '../integrators/alerts/settings';
import { isoLocal } from '../site/civil';

/** A building as it is now. */
export interface Watched {
  /** The same one as long as the host runs. */
  key: string;
  site: AlertedSite;
  /** Why it is not served; '' if it is. */
  trouble: string;
}

export interface UnservedOptions {
  buildings(): Watched[];
  settings: AlertSettings;
  /** UTC second. */
  now(): number;
  onProblem(sentence: string): void;
  /** Not served for so long before somebody is told, s: a changed site takes less. */
  afterSec?: number;
  /** Between looks, ms. */
  lookMs?: number;
}

const AFTER_SEC = 90;
const LOOK_MS = 5000;

interface Absence {
  since: number;
  /** As it was told; undefined before. */
  told: AlertEvent | undefined;
}

/** Every building by itself, since a message names one. */
class Unserved {
  private readonly absent = new Map<string, Absence>();
  private readonly queues = new Map<string, Queue[]>();

  constructor(private readonly o: UnservedOptions) {}

  look(): void {
    const { now, buildings, afterSec = AFTER_SEC } = this.o;
    const at = now();
    for (const one of buildings()) {
      const absence = this.absent.get(one.key) ?? { since: at, told: undefined };
      if (one.trouble === '') {
        this.absent.delete(one.key);
        if (absence.told) this.tell(one, { ...absence.told, state: 'cleared' }, at);
        continue;
      }
      this.absent.set(one.key, absence);
      if (absence.told || at - absence.since < afterSec) continue;
      absence.told = this.raised(one, absence.since);
      this.tell(one, absence.told, at);
    }
  }

  stop(): void {
    for (const queue of [...this.queues.values()].flat()) queue.stop();
  }

  private raised({ site, trouble }: Watched, since: number): AlertEvent {
    const began = isoLocal(site.timeZone, since);
    return {
      ...{ id: '', what: 'building not served', state: 'raised', circuit: '', luminaire: null },
      ...{ place: site.name, since: began, at: began },
      words: `The host does not work for this building: nothing is shown of it, and no supply can be restored on its page. ${trouble}`,
    };
  }

  private tell({ key, site }: Watched, event: AlertEvent, at: number): void {
    const id = `${event.what}|${site.id}|${event.since}|${event.state}`;
    for (const queue of this.queuesOf(key, site))
      queue.add([{ ...event, id, at: isoLocal(site.timeZone, at) }]);
  }

  private queuesOf(key: string, site: AlertedSite): Queue[] {
    const { settings, now, onProblem } = this.o;
    const texts = new Map<string, string>();
    const memory = {
      recall: (name: string) => texts.get(name) ?? '',
      remember: (name: string, text: string) => void texts.set(name, text),
    };
    const own =
      this.queues.get(key) ??
      openQueues(receiversOf({ site, simulated: false, settings }), { memory, now, onProblem });
    this.queues.set(key, own);
    return own;
  }
}

/** @returns ends it */
export function watchUnserved(o: UnservedOptions): () => void {
  const unserved = new Unserved(o);
  let told = '';
  // What goes wrong at every look is told once.
  const tell = (sentence: string): void => {
    if (sentence !== told) o.onProblem(sentence);
    told = sentence;
  };
  const look = guarded(() => {
    unserved.look();
    told = '';
  }, tell);
  const timer = setInterval(look, o.lookMs ?? LOOK_MS);
  return () => {
    clearInterval(timer);
    unserved.stop();
  };
}
