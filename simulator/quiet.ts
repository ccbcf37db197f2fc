// The circuit's side of the readings that a long run leaves out of a discharge (core/skip.ts): no lamp may come
// near its level meanwhile.
import { lastPlainReading, skipReadings } from '../firmware/core/skip';
import type { Core } from '../firmware/core/state';
import { type CircuitPlant, passOverLampSensors, staysAtLeast } from './plant/circuit';

/**
 * Leaves out the readings that follow the one taken now, as far as they change nothing, and brings core and
 * circuit to the last of them.
 * @param now board's ms
 * @param start simulated ms at which the board's counter stood at 0; it runs at the right rate
 * @param end simulated ms from which something else may happen
 * @returns board's ms of the last reading left out, or `now` where none is
 */
export function passOverReadings(
  s: Core,
  plant: CircuitPlant,
  now: number,
  start: number,
  end: number,
  isNoisy: boolean,
): number {
  const last = lastPlainReading(s, now, Math.min(end, plant.readings.until) - start);
  if (last === now || !staysAtLeast(plant, start + now, start + last, s.quick, s.set.lampCount)) return now;
  passOverLampSensors(plant, skipReadings(s, last), isNoisy);
  return last;
}
