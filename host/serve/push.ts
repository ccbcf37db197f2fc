// Feeds the open pages. States and readings are collected for a moment first: in a fast simulation they come
// faster than anyone can read.

import type { Contact, LiveReading } from '../api/views';
import type { View } from '../house/view/view';
import type { EventHub } from '../server/events';

export interface Push {
  /** This circuit's status has changed. */
  status(circuit: string): void;
  live(reading: LiveReading): void;
  stop(): void;
}

export interface PushOptions {
  hub: EventHub;
  view: Pick<View, 'controller'>;
  circuits: string[];
  now(): number;
  speed(): number;
}

const GATHER_MS = 100;
const CLOCK_MS = 1000;

export function startPush(o: PushOptions): Push {
  const changed = new Set<string>();
  const readings = new Map<string, LiveReading>();
  const contacts = new Map<string, Contact>();
  const gather = setInterval(() => {
    for (const circuit of changed) o.hub.send('status', o.view.controller(circuit, o.now()));
    for (const reading of readings.values()) o.hub.send('live', reading);
    changed.clear();
    readings.clear();
  }, GATHER_MS);
  const tick = setInterval(() => {
    o.hub.send('clock', { now: o.now(), speed: o.speed() });
    // Silence sends no message, so something must check for it.
    for (const circuit of o.circuits) {
      const { contact } = o.view.controller(circuit, o.now());
      if (contacts.get(circuit) !== contact) changed.add(circuit);
      contacts.set(circuit, contact);
    }
  }, CLOCK_MS);
  return {
    status: (circuit) => changed.add(circuit),
    live: (reading) => readings.set(reading.circuit, reading),
    stop() {
      clearInterval(gather);
      clearInterval(tick);
    },
  };
}
