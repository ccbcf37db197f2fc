// Impairments of the simulated network, as planted: what happens to a message or to the bytes of a
// connection.

import { inForce, isIn, type Span } from './plant/spans';
import { nextUnit, type Random } from './random';

export interface ShareFault extends Span {
  /** Share of messages affected, 0 to 1. */
  share: number;
}

export interface DelayFault extends Span {
  delayMs: number;
}

export interface Impairments {
  random: Random;
  /** Nothing gets through; what was sent is held until the end. Sorted, disjoint. */
  partitions: Span[];
  /** Everything is late by this much. */
  delays: DelayFault[];
  /** The broker loses messages, or delivers them twice. */
  losses: ShareFault[];
  duplications: ShareFault[];
  /** Each message is late by anything up to this much, so that they overtake each other. */
  reorderings: DelayFault[];
}

/** No impairments. */
export function newImpairments(random: Random): Impairments {
  return { random, partitions: [], delays: [], losses: [], duplications: [], reorderings: [] };
}

/** How much longer than usual bytes sent now take, ms. */
export function heldMs(w: Impairments, now: number): number {
  const until = isIn(w.partitions, now) ? w.partitions[0].to - now : 0;
  return until + (inForce(w.delays, now)?.delayMs ?? 0);
}

/** How much later than the others a message sent now arrives, whole ms. */
export function straggleMs(w: Impairments, now: number): number {
  const fault = inForce(w.reorderings, now);
  return fault ? Math.floor(nextUnit(w.random) * fault.delayMs) : 0;
}

/** How often a message sent now arrives: not at all, once or twice. */
export function copiesOf(w: Impairments, now: number): number {
  const loss = inForce(w.losses, now);
  if (loss && nextUnit(w.random) < loss.share) return 0;
  const twice = inForce(w.duplications, now);
  return twice && nextUnit(w.random) < twice.share ? 2 : 1;
}
