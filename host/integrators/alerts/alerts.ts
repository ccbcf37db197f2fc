// Tells people and other systems of alarms: what changes in the status of the circuits becomes events, and each
// receiver gets them from a queue of its own. Once a day a mail says how everything stands.
import type { Memory } from '../../logbook/memory';
import { localDate, utcOfLocal } from '../../site/civil';
import type { Site } from '../../site/model';
import type { CircuitMessages } from '../status';
import { ALERTS_VERSION, type Alarm, alarmKey, alarmsOf, alertsBetween } from './alarms';
import { alertLetter, digestLetter } from './letters';
import { newPost, type Post } from './mail';
import { newQueue, type Queue, type QueueOptions } from './queue';
import type { AlertSettings } from './settings';
import { postAlert } from './webhook';

export interface AlertsOptions {
  site: Site;
  simulated: boolean;
  settings: AlertSettings;
  memory: Memory;
  /** UTC second. */
  now(): number;
  onProblem(sentence: string): void;
  /** For tests: how often is looked, and how soon is tried again. */
  pace?: Pick<QueueOptions, 'lookMs' | 'firstSec'>;
}

export interface Alerts {
  /** What is told of a circuit now. */
  take(messages: CircuitMessages): void;
  /** Everything is known; called again and again. */
  all(messages: CircuitMessages[]): void;
  stop(): void;
}

const SET_UP = 'alerts set up';
const KNOWN = 'alerts known';
const DIGEST = 'alerts digest';
/** After the daily mail could not be sent, s. */
const DIGEST_AGAIN_SEC = 900;

/** The name of a receiver in sentences holds no key that may be in its address. */
function nameOf(url: string): string {
  return new URL(url).origin + new URL(url).pathname;
}

class Telling implements Alerts {
  private readonly queues: Queue[] = [];
  private readonly post: Post | undefined;
  private readonly setUpAt: number;
  private readonly known: Map<string, Map<string, Alarm>>;
  private digestAfter = 0;
  private isSending = false;

  constructor(private readonly o: AlertsOptions) {
    const { memory, settings, now } = o;
    if (memory.recall(SET_UP) === '') memory.remember(SET_UP, String(now()));
    this.setUpAt = Number(memory.recall(SET_UP));
    const stored = JSON.parse(memory.recall(KNOWN) || '{}') as Record<string, Alarm[]>;
    this.known = new Map(Object.entries(stored).map(([circuit, list]) => [circuit, byKey(list)]));
    if (settings.mail) {
      const post = newPost(settings.mail);
      this.post = post;
      const queue = this.queue(`mail to ${settings.mail.to.join(', ')}`, (batch) =>
        post.send(alertLetter(o.site, o.simulated, batch), `${batch.events[0].id}|${batch.events.length}`),
      );
      this.queues.push(queue);
    }
    for (const webhook of settings.webhooks)
      this.queues.push(
        this.queue(nameOf(webhook.url), ({ events, lost }) => {
          const { id: building, name } = o.site;
          const message = {
            v: ALERTS_VERSION,
            building,
            name,
            simulated: o.simulated,
            events,
            lost,
          } as const;
          return postAlert(webhook, message, now());
        }),
      );
  }

  take(messages: CircuitMessages): void {
    const { now, site } = this.o;
    const id = messages.circuit.circuit;
    const before = this.known.get(id) ?? new Map<string, Alarm>();
    const present = alarmsOf(messages);
    const after = byKey(present);
    if (before.size === after.size && [...after.keys()].every((key) => before.has(key))) return;
    const when = { setUpAt: this.setUpAt, now: now(), timeZone: site.timeZone };
    const events = alertsBetween(before, present, when);
    // Queued before it counts as known: after a crash in between it is told twice rather than never.
    for (const queue of this.queues) queue.add(events);
    this.known.set(id, after);
    const alarms = [...this.known].map(([circuit, list]) => [circuit, [...list.values()]]);
    this.o.memory.remember(KNOWN, JSON.stringify(Object.fromEntries(alarms)));
  }

  all(messages: CircuitMessages[]): void {
    const { settings, memory, now, site, simulated, onProblem } = this.o;
    const { mail } = settings;
    if (!mail || !this.post || this.isSending) return;
    const today = localDate(site.timeZone, now());
    const due = utcOfLocal(site.timeZone, `${today}T${mail.digestAt}`);
    if (memory.recall(DIGEST) >= today || now() < Math.max(due, this.digestAfter)) return;
    this.digestAfter = now() + DIGEST_AGAIN_SEC;
    const letter = digestLetter(site, simulated, messages, now());
    this.isSending = true;
    void this.post
      .send(letter, `${site.id} digest ${today}`)
      .then(
        () => memory.remember(DIGEST, today),
        (error: Error) =>
          onProblem(`The daily mail could not be sent (${error.message}); it is tried again.`),
      )
      .finally(() => {
        this.isSending = false;
      });
  }

  stop(): void {
    for (const queue of this.queues) queue.stop();
  }

  private queue(name: string, send: QueueOptions['send']): Queue {
    const { memory, now, onProblem, pace } = this.o;
    return newQueue({ ...{ name, memory, send, now, onProblem }, ...pace });
  }
}

function byKey(list: Alarm[]): Map<string, Alarm> {
  return new Map(list.map((alarm) => [alarmKey(alarm), alarm]));
}

/** See `Alerts`. */
export function startAlerts(o: AlertsOptions): Alerts {
  return new Telling(o);
}
