// The circuit's side of the readings that a long run leaves out of a discharge (core/skip.ts): no lamp may come
// near its level meanwhile.
import { Limit } from '../firmware/contract/limits';
import {
  isBeforePoints,
  plainUntil,
  skipReadings,
  takePlainReading,
  takeReading,
} from '../firmware/core/skip';
import type { Core } from '../firmware/core/state';
import { type CircuitPlant, passOverLampSensors, readLampSensors, staysAtLeast } from './plant/circuit';

/** The last instant up to `to` until which no lamp comes near its level, simulated ms; `from` when there is none. */
function heldUntil(s: Core, plant: CircuitPlant, from: number, to: number): number {
  const holds = (at: number) => staysAtLeast(plant, from, at, s.quick, s.set.lampCount);
  if (holds(to)) return to;
  let may = from;
  let mayNot = to;
  while (mayNot - may > 1) {
    const at = Math.floor((may + mayNot) / 2);
    if (holds(at)) may = at;
    else mayNot = at;
  }
  return may;
}

/** Below any reading of a sensor that gives one. */
const ANY = new Int16Array(Limit.Luminaires).fill(Limit.UnheardLast + 1);

/** Takes the readings before the first point: they decide nothing. @returns board's ms of the last one, else `now` */
function takeEarlyReadings(
  s: Core,
  plant: CircuitPlant,
  now: number,
  start: number,
  end: number,
  isNoisy: boolean,
): number {
  const { lampCount } = s.set;
  const isFree = (last: number) =>
    isBeforePoints(s, last) &&
    start + s.sampleAt < end &&
    staysAtLeast(plant, start + last, start + s.sampleAt, ANY, lampCount);
  let last = now;
  while (isFree(last)) {
    last = s.sampleAt;
    readLampSensors(plant, start + last, isNoisy, s.in.lamp, lampCount);
    takeReading(s);
  }
  return last;
}

/**
 * Passes over the readings that follow the one taken now, as long as they end nothing: those that change nothing are
 * left out, and others are taken without a turn of the loop.
 * @param now board's ms
 * @param start simulated ms at which the board's counter stood at 0; it runs at the right rate
 * @param end simulated ms from which something else may happen
 * @returns board's ms of the last reading passed over, or `now` where there is none
 */
export function passOverReadings(
  s: Core,
  plant: CircuitPlant,
  now: number,
  start: number,
  end: number,
  isNoisy: boolean,
): number {
  const last = takeEarlyReadings(s, plant, now, start, end, isNoisy);
  // A lamp with something left to prove, or near its level: that of most readings taken in turns.
  if (!staysAtLeast(plant, start + last, start + s.sampleAt, s.quick, s.set.lampCount)) return last;
  const plain = plainUntil(s, last, Math.min(end, plant.readings.until) - start);
  if (s.sampleAt >= plain) return last;
  const until = heldUntil(s, plant, start + last, start + plain - 1) - start + 1;
  while (s.sampleAt < until) {
    passOverLampSensors(plant, skipReadings(s, until), isNoisy);
    readLampSensors(plant, start + s.sampleAt, isNoisy, s.in.lamp, s.set.lampCount);
    takePlainReading(s, until);
  }
  return s.lastSampleAt;
}
