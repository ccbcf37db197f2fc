// Feeds the open pages. States and readings are collected for a moment first: in a fast simulation they come
// faster than anyone can read.
import type { Contact, LiveReading } from '../api/views';
import { guarded } from '../guarded';
import type { View } from '../house/view/view';
import type { EventHub } from '../server/events';

export interface Push {
  /** This circuit's status has changed; what is no circuit of the site is passed over. */
  status(circuit: string): void;
  live(reading: LiveReading): void;
  stop(): void;
}

export interface PushOptions {
  hub: EventHub;
  view: Pick<View, 'controller' | 'contacts'>;
  circuits: string[];
  now(): number;
  speed(): number;
  onProblem(sentence: string): void;
}

const GATHER_MS = 100;
const CLOCK_MS = 1000;

export function startPush(o: PushOptions): Push {
  const known = new Set(o.circuits);
  const changed = new Set<string>();
  const readings = new Map<string, LiveReading>();
  const contacts = new Map<string, Contact>();
  let told = o.speed();
  const sendClock = (): void => {
    told = o.speed();
    o.hub.send('clock', { now: o.now(), speed: told });
  };
  const sendGathered = (): void => {
    const [statuses, lives] = [[...changed], [...readings.values()]];
    changed.clear();
    readings.clear();
    // At once where the pace of a simulation has changed: until it is told, the page counts on at the old one.
    if (o.speed() !== told) sendClock();
    // A page that opens asks for everything itself.
    if (o.hub.listeners() === 0) return;
    for (const circuit of statuses) o.hub.send('status', o.view.controller(circuit, o.now()));
    for (const reading of lives) o.hub.send('live', reading);
  };
  const look = (): void => {
    sendClock();
    // Silence sends no message, so something must check for it.
    for (const { circuit, contact } of o.view.contacts()) {
      if (contacts.get(circuit) !== contact) changed.add(circuit);
      contacts.set(circuit, contact);
    }
  };
  const gather = setInterval(guarded(sendGathered, o.onProblem), GATHER_MS);
  const tick = setInterval(guarded(look, o.onProblem), CLOCK_MS);
  return {
    status(circuit) {
      if (known.has(circuit)) changed.add(circuit);
    },
    live: (reading) => readings.set(reading.circuit, reading),
    stop() {
      clearInterval(gather);
      clearInterval(tick);
    },
  };
}
