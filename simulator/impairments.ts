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
  /** The broker accepts late; the loop of a controller that connects stands still until then. */
  slowConnects: DelayFault[];
  /** The broker's machine is off, or the access point: sorted, disjoint. What is sent is lost. */
  brokerOff: Span[];
  accessOff: Span[];
}

/**
 * How long connecting to a machine that is off stops the loop, ms. On the ESP32 18 to 21 s (Limit.ConnectSec);
 * measured on the desktop interpreter against a full backlog, 19.6 s.
 */
const OFF_STOP_MS = 30000;

/** No impairments. */
export function newImpairments(random: Random): Impairments {
  return {
    random,
    partitions: [],
    delays: [],
    losses: [],
    duplications: [],
    reorderings: [],
    slowConnects: [],
    brokerOff: [],
    accessOff: [],
  };
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

/** How long a connection attempt begun now stops the controller's loop, ms. */
export function stopMs(w: Impairments, now: number): number {
  if (isIn(w.brokerOff, now)) return OFF_STOP_MS;
  return inForce(w.slowConnects, now)?.delayMs ?? 0;
}

/** Whether everything sent now is lost, in both directions. */
export function isCut(w: Impairments, now: number): boolean {
  return isIn(w.brokerOff, now) || isIn(w.accessOff, now);
}
