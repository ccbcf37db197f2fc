// The circuit's side of the readings that a long run leaves out of a discharge (core/skip.ts): no lamp may come
// near its level meanwhile.
import { plainUntil, skipReadings, takePlainReading } from '../firmware/core/skip';
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

/**
 * Passes over the readings that follow the one taken now, as long as they end nothing: those that change nothing are
 * left out, and those for the curves are taken without a turn of the loop.
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
  // A lamp with something left to prove, or near its level: that of most readings taken in turns.
  if (!staysAtLeast(plant, start + now, start + s.sampleAt, s.quick, s.set.lampCount)) return now;
  const plain = plainUntil(s, now, Math.min(end, plant.readings.until) - start);
  if (s.sampleAt >= plain) return now;
  const until = heldUntil(s, plant, start + now, start + plain - 1) - start + 1;
  while (s.sampleAt < until) {
    passOverLampSensors(plant, skipReadings(s, until), isNoisy);
    readLampSensors(plant, start + s.sampleAt, isNoisy, s.in.lamp, s.set.lampCount);
    takePlainReading(s, until);
  }
  return s.lastSampleAt;
}
