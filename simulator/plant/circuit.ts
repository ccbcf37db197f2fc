// One circuit: supply, relay, luminaires, people. Time is simulated ms; `settleCircuit` brings everything up
// to an instant and says when it will next change by itself.
import { fork } from '../random';
import {
  chargingMilliamps,
  isLitOnBattery,
  type Luminaire,
  type LuminaireSpec,
  newLuminaire,
  setSupplied,
} from './luminaire';
import { holdsAtLeast, newReadings, passOver, type Readings, readSensors } from './readings';
import { newRelay, type Relay, relayChangeAt, settleRelay } from './relay';
import { addSpan, edgeAfter, faultEdgeAfter, inForce, isIn, type Span } from './spans';

/** The supply hovers at the threshold of both senses, which flicker; the luminaires keep their supply. */
export interface BrownOut extends Span {
  /** One flicker: seen gone for `lowMs` out of every `everyMs`. */
  everyMs: number;
  lowMs: number;
}

/** The inrush of the next restore trips the breaker upstream; someone resets it after `offMs`. */
export interface InrushTrip {
  at: number;
  offMs: number;
}

/** The bus of the current modules turns bits over: this share of answers is damaged. */
export interface BusNoise extends Span {
  share: number;
}

/** Delay between the contact closing and a breaker tripping on inrush, ms (common practice). */
const TRIP_MS = 20;

export interface CircuitPlant {
  id: string;
  luminaires: Luminaire[];
  readings: Readings;
  relay: Relay;
  /** Sorted, disjoint. */
  outages: Span[];
  visits: Span[];
  keys: Span[];
  stops: Span[];
  brownOuts: BrownOut[];
  /** Spans in which no module of a bus is heard: a wire, its supply or the transceiver is broken. */
  busCuts: Span[];
  busNoise: BusNoise[];
  /** Sorted. */
  trips: InrushTrip[];
  supplied: boolean;
  /** Last instant at which the luminaires lost or regained supply. */
  suppliedChangedAt: number;
  settledAt: number;
  /** Called at each change of it. */
  onSupply?: (supplied: boolean, now: number) => void;
}

export function newCircuitPlant(id: string, lamps: LuminaireSpec[], seed: number): CircuitPlant {
  return {
    id,
    luminaires: lamps.map((spec) => newLuminaire(spec)),
    readings: newReadings(fork(seed, `sensors ${id}`)),
    relay: newRelay(),
    outages: [],
    visits: [],
    keys: [],
    stops: [],
    brownOuts: [],
    busCuts: [],
    busNoise: [],
    trips: [],
    supplied: true,
    suppliedChangedAt: 0,
    settledAt: 0,
  };
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

/** Whether a brown-out hides the supply from the senses at `now`. */
function isFlickering(c: CircuitPlant, now: number): boolean {
  if (c.brownOuts.length === 0) return false;
  const fault = inForce(c.brownOuts, now);
  return fault !== undefined && (now - fault.from) % fault.everyMs < fault.lowMs;
}

/** What the sense before the relay reads. */
export function sensesSupply(c: CircuitPlant, now: number): boolean {
  return hasMains(c, now) && !isFlickering(c, now);
}

/** What the sense behind the relay reads. */
export function sensesLive(c: CircuitPlant, now: number): boolean {
  return c.supplied && !isFlickering(c, now);
}

function flickerAfter(c: CircuitPlant, now: number): number {
  if (c.brownOuts.length === 0) return Number.POSITIVE_INFINITY;
  const edge = faultEdgeAfter(c.brownOuts, now);
  const fault = inForce(c.brownOuts, now);
  if (!fault) return edge;
  const into = (now - fault.from) % fault.everyMs;
  return Math.min(edge, now - into + (into < fault.lowMs ? fault.lowMs : fault.everyMs));
}

/** The supply has come back to the luminaires: their inrush may trip the breaker. */
function tripOnRestore(c: CircuitPlant, now: number): void {
  const trip = c.trips[0];
  if (!trip || trip.at > now) return;
  c.trips.shift();
  addSpan(c.outages, { from: now + TRIP_MS, to: now + TRIP_MS + trip.offMs });
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
  c.onSupply?.(supplied, now);
  if (supplied) tripOnRestore(c, now);
}

/** Reads the sensors of the first `count` lamps into `into`, whole mA. */
export function readLampSensors(
  c: CircuitPlant,
  now: number,
  isNoisy: boolean,
  into: Int16Array,
  count: number,
): void {
  readSensors(c.readings, c.luminaires, c.suppliedChangedAt, now, isNoisy, into, count);
}

/**
 * Whether every reading of the first `count` lamps from `from` to `to`, in the spell read last, is at least
 * `least` and below the upper rail, whatever its noise.
 */
export function staysAtLeast(
  c: CircuitPlant,
  from: number,
  to: number,
  least: Int16Array,
  count: number,
): boolean {
  return holdsAtLeast(c.readings, c.luminaires, from, to, least, count);
}

/** Skips this many readings: later ones are as if these had been taken. */
export function passOverLampSensors(c: CircuitPlant, readings: number, isNoisy: boolean): void {
  if (isNoisy) passOver(c.readings, readings);
}

/** What a sensor of the circuit's charging current reads, whole mA. */
export function circuitChargeMilliamps(c: CircuitPlant, now: number): number {
  if (!c.supplied) return 0;
  let sum = 0;
  for (const l of c.luminaires) sum += chargingMilliamps(l, now);
  return Math.round(sum);
}

/** Next instant after `now` at which people or the supply change an input. */
export function edgesAfter(c: CircuitPlant, now: number): number {
  return Math.min(
    edgeAfter(c.outages, now),
    edgeAfter(c.visits, now),
    edgeAfter(c.keys, now),
    edgeAfter(c.stops, now),
    flickerAfter(c, now),
  );
}

/** Next instant after `now` at which an input may change by itself. */
export function circuitChangeAt(c: CircuitPlant, now: number): number {
  const relay = relayChangeAt(c.relay);
  return Math.min(edgesAfter(c, now), relay > now ? relay : Number.POSITIVE_INFINITY);
}

/** Lamps lit on battery now: the truth that verdicts are checked against. */
export function litCount(c: CircuitPlant, now: number): number {
  return c.luminaires.filter((l) => isLitOnBattery(l, now)).length;
}
