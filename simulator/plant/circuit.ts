// One circuit: supply, relay, luminaires, people. Time is simulated ms; everything is brought up to an
// instant by `settleCircuit` and tells when it will next change by itself.
import { fork } from '../random';
import {
  chargingMilliamps,
  isLitOnBattery,
  type Luminaire,
  type LuminaireSpec,
  newLuminaire,
  setSupplied,
} from './luminaire';
import { newRelay, type Relay, relayChangeAt, settleRelay } from './relay';

/** A span of simulated ms in which something holds: an outage, a person in the area, a key turned. */
export interface Span {
  from: number;
  to: number;
}

export interface CircuitPlant {
  id: string;
  luminaires: Luminaire[];
  relay: Relay;
  /** Sorted, disjoint. */
  outages: Span[];
  visits: Span[];
  keys: Span[];
  stops: Span[];
  supplied: boolean;
  /** Last instant at which the luminaires lost or regained supply. */
  suppliedChangedAt: number;
  settledAt: number;
}

export function newCircuitPlant(id: string, lamps: LuminaireSpec[], seed: number): CircuitPlant {
  return {
    id,
    luminaires: lamps.map((spec) => newLuminaire(spec, fork(seed, `sensor ${spec.id}`))),
    relay: newRelay(),
    outages: [],
    visits: [],
    keys: [],
    stops: [],
    supplied: true,
    suppliedChangedAt: 0,
    settledAt: 0,
  };
}

/** Whether `now` lies in one of the spans; spans wholly past are dropped. */
function isIn(spans: Span[], now: number): boolean {
  while (spans.length > 0 && spans[0].to <= now) spans.shift();
  return spans.length > 0 && spans[0].from <= now;
}

function edgeAfter(spans: Span[], now: number): number {
  for (const span of spans) {
    if (span.from > now) return span.from;
    if (span.to > now) return span.to;
  }
  return Number.POSITIVE_INFINITY;
}

export function hasMains(c: CircuitPlant, now: number): boolean {
  return !isIn(c.outages, now);
}

export function isOccupied(c: CircuitPlant, now: number): boolean {
  return isIn(c.visits, now);
}

export function isKeyTurned(c: CircuitPlant, now: number): boolean {
  return isIn(c.keys, now);
}

export function isStopped(c: CircuitPlant, now: number): boolean {
  return isIn(c.stops, now);
}

/** Brings relay and luminaires up to `now`. */
export function settleCircuit(c: CircuitPlant, now: number): void {
  settleRelay(c.relay, now);
  c.settledAt = now;
  const supplied = hasMains(c, now) && !c.relay.open && !isKeyTurned(c, now);
  if (supplied === c.supplied) return;
  c.supplied = supplied;
  c.suppliedChangedAt = now;
  for (const l of c.luminaires) setSupplied(l, supplied, now);
}

/** What a sensor of the circuit's charging current reads, whole mA. */
export function circuitChargeMilliamps(c: CircuitPlant, now: number): number {
  let sum = 0;
  for (const l of c.luminaires) sum += chargingMilliamps(l, now);
  return Math.round(sum);
}

/** Next instant after `now` at which an input may change by itself. */
export function circuitChangeAt(c: CircuitPlant, now: number): number {
  const edges = Math.min(
    edgeAfter(c.outages, now),
    edgeAfter(c.visits, now),
    edgeAfter(c.keys, now),
    edgeAfter(c.stops, now),
  );
  const relay = relayChangeAt(c.relay);
  return Math.min(edges, relay > now ? relay : Number.POSITIVE_INFINITY);
}

/** Lamps burning on battery now: the truth that verdicts are held against. */
export function litCount(c: CircuitPlant, now: number): number {
  return c.luminaires.filter((l) => isLitOnBattery(l, now)).length;
}
