// What a network of the simulation offers to the controller at its end and to whoever runs it.
import type { NetPort } from '../firmware/ports';
import type { Impairments } from './impairments';

/** One-way delay of the simulated network, ms. */
export const LATENCY_MS = 20;

/** What the hub hands to the host: one publish from a controller. */
export type PublishSink = (topic: string, payload: string) => void;

export interface WireHandlers {
  opened(): void;
  data(bytes: string): void;
  closed(): void;
}

/** A network port inside the simulation: its owner calls `deliver` when `nextAt` has come. */
export interface SimulatedNet extends NetPort {
  /** Planted impairments of its traffic; undefined: none. */
  impairments?: Impairments;
  /** How long an `open` now stops the loop, ms. */
  stopMs(): number;
  nextAt(): number;
  deliver(on: WireHandlers): void;
}
