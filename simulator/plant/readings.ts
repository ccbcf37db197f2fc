// The readings of all lamps of a circuit at once. Within a spell, from one change of supply or fault to the
// next, the current of a sound lamp with a sound sensor is a closed form of time, prepared once, so that a
// reading costs a few operations.
import { Limit } from '../../firmware/contract/limits';
import { newRandom, next32, nextGauss, type Random, skip32 } from '../random';
import { type Luminaire, NOISE_MILLIAMPS, type Piece, pieceOf, sensorMilliamps } from './luminaire';

/** Number of noise values to draw from: a power of two. */
const DRAWS = 1024;

function drawNoise(): Float64Array {
  const random = newRandom(DRAWS);
  return Float64Array.from({ length: DRAWS }, () => nextGauss(random) * NOISE_MILLIAMPS);
}

const NOISE = drawNoise();
const LEAST_NOISE = Math.min(...NOISE);
const MOST_NOISE = Math.max(...NOISE);
/** Added before a number is truncated, so that it is rounded, negative numbers too. */
const ROUNDING = 32768.5;

export interface Readings {
  random: Random;
  /** The forms hold from the change of supply at `since` until `until`, simulated ms. */
  since: number;
  until: number;
  /** mA at the change of supply, and how much of it is lost with the square of the ms since then. */
  first: Float64Array;
  fall: Float64Array;
  /** 0: this lamp is read on its own. */
  isPlain: Uint8Array;
  plainCount: number;
}

export function newReadings(random: Random): Readings {
  return {
    random,
    since: 0,
    until: Number.NEGATIVE_INFINITY,
    first: new Float64Array(Limit.Luminaires),
    fall: new Float64Array(Limit.Luminaires),
    isPlain: new Uint8Array(Limit.Luminaires),
    plainCount: 0,
  };
}

const piece: Piece = { first: 0, fall: 0, until: 0 };

function makeReady(r: Readings, luminaires: Luminaire[], last: Int16Array, now: number): void {
  const isFollowed = r.until > Number.NEGATIVE_INFINITY;
  r.until = Number.POSITIVE_INFINITY;
  r.plainCount = 0;
  for (let i = 0; i < luminaires.length; i++) {
    const l = luminaires[i];
    // The value at which a sensor that sticks from now on stays.
    if (isFollowed && r.isPlain[i]) l.held = last[i];
    const isPlain = pieceOf(l, now, piece);
    r.isPlain[i] = isPlain ? 1 : 0;
    if (isPlain) r.plainCount++;
    r.first[i] = piece.first + ROUNDING;
    r.fall[i] = piece.fall;
    if (piece.until < r.until) r.until = piece.until;
  }
}

/**
 * Reads the sensors of the first `count` lamps, whole mA, into `into`, which still holds the previous
 * readings.
 * @param changedAt when the luminaires last lost or regained supply, simulated ms
 */
export function readSensors(
  r: Readings,
  luminaires: Luminaire[],
  changedAt: number,
  now: number,
  isNoisy: boolean,
  into: Int16Array,
  count: number,
): void {
  if (now >= r.until || r.since !== changedAt) {
    makeReady(r, luminaires, into, now);
    r.since = changedAt;
  }
  const draw = isNoisy ? next32(r.random) : 0;
  const stride = (draw >>> 10) | 1;
  const ms = now - changedAt;
  const square = ms * ms;
  const { first, fall, isPlain } = r;
  if (r.plainCount === luminaires.length && isNoisy) {
    for (let i = 0, at = draw; i < count; i++, at = (at + stride) | 0)
      into[i] = ((first[i] - fall[i] * square + NOISE[at & (DRAWS - 1)]) | 0) - 32768;
    return;
  }
  for (let i = 0, at = draw; i < count; i++, at = (at + stride) | 0) {
    const jitter = isNoisy ? NOISE[at & (DRAWS - 1)] : 0;
    into[i] = isPlain[i]
      ? ((first[i] - fall[i] * square + jitter) | 0) - 32768
      : sensorMilliamps(luminaires[i], now, jitter);
  }
}

/** A reading of a lamp in closed form. */
function readingOf(r: Readings, lamp: number, square: number, noise: number): number {
  return ((r.first[lamp] - r.fall[lamp] * square + noise) | 0) - 32768;
}

/** See `staysAtLeast` of the circuit. False where a lamp has no closed form. */
export function holdsAtLeast(
  r: Readings,
  luminaires: Luminaire[],
  from: number,
  to: number,
  least: Int16Array,
  count: number,
): boolean {
  if (to >= r.until || r.plainCount < luminaires.length) return false;
  const sooner = (from - r.since) ** 2;
  const later = (to - r.since) ** 2;
  for (let i = 0; i < count; i++) {
    if (readingOf(r, i, later, LEAST_NOISE) < least[i]) return false;
    if (readingOf(r, i, sooner, MOST_NOISE) >= Limit.RailHigh) return false;
  }
  return true;
}

/** Makes the random draws for this many readings without taking them. */
export function passOver(r: Readings, readings: number): void {
  skip32(r.random, readings);
}
