// Which readings of a discharge a long run may leave out: those in which no lamp can come near its level, that
// stand for no point and no curve, and on which nothing that follows rests.
import { TestKind } from '../firmware/contract/codes';
import { Limit } from '../firmware/contract/limits';
import { type Core, Sense } from '../firmware/core/state';
import { type CircuitPlant, passOverLampSensors, staysAtLeast } from './plant/circuit';

function isSettled(s: Core, sense: Sense): boolean {
  return s.level[sense] === s.raw[sense];
}

/** Whether the core waits for its next reading and for nothing else. */
function isWaitingForReading(s: Core): boolean {
  return (
    s.sampleAt === s.wakeAt &&
    s.judgedEarly === 1 &&
    s.outCount === 0 &&
    isSettled(s, Sense.Before) &&
    isSettled(s, Sense.After) &&
    isSettled(s, Sense.Aux)
  );
}

/** The next instant at which the core does more with a reading than to compare it, board's ms. */
function nextPointAt(s: Core): number {
  const pointMs = s.judgedFull === 1 ? s.nextEndMs : Math.min(Limit.FullPointMs, s.nextEndMs);
  return Math.min(s.t0 + pointMs, s.openAt + Limit.OpenCapSec * 1000);
}

/** The next instant whose reading is the first for a place of the curves, board's ms. */
function nextPlaceAt(s: Core): number {
  return s.kind === TestKind.Brief ? Number.POSITIVE_INFINITY : s.t0 + s.curveNext * s.curveGridSec * 1000;
}

/**
 * Leaves out the readings that follow the one taken now, as far as they change nothing, and brings core and
 * circuit to the last of them. Between the last one left out and whatever comes next one more is taken, since a
 * point, a fall or the end of a test goes by the reading before it.
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
  if (s.lastSampleAt !== now || !isWaitingForReading(s)) return now;
  const period = s.sampleAt - now;
  const until = Math.min(nextPointAt(s), end - start, plant.readings.until - start);
  const beforeUntil = Math.ceil((until - now) / period) - 1;
  const atPlace = Math.ceil((nextPlaceAt(s) - now) / period);
  const count = Math.min(beforeUntil, atPlace) - 1;
  if (count < 1) return now;
  const last = now + count * period;
  if (!staysAtLeast(plant, start + now, start + last, s.quick, s.set.lampCount)) return now;
  passOverLampSensors(plant, count, isNoisy);
  s.lastSampleAt = last;
  s.sampleAt = last + period;
  s.wakeAt = s.sampleAt;
  s.leaseUntil = last + Limit.LeaseMs;
  return last;
}
