// What ngspice shows of a circuit with some parts broken, in the words of simulator/guards/faults.ts.
import { COUNTED_PERIODS } from '../../../simulator/guards/board';
import type { Seen } from '../../../simulator/guards/faults';
import { type Breakage, commands, holdVolts, netlist, releaseAmps } from '../../../simulator/guards/netlist';
import type { Circuit } from '../../../simulator/guards/part';
import {
  endings,
  expires,
  floating,
  hurried,
  SHORT_STAGES,
  stray,
  type Timeline,
} from '../../../simulator/guards/timeline';
import { type Measured, spice } from '../../support/spice';

const ROOM_CELSIUS = 25;
const STAGES = 14;
const NEVER = Number.POSITIVE_INFINITY;

/** Seconds from the order to the release in a window of the timeline; infinite if the coil is still held at its end. */
export function releasedAfter(
  circuit: Circuit,
  timeline: Timeline,
  name: string,
  measured: Measured,
): number {
  const window = timeline.releases.find((w) => w.name === name)!;
  const late = measured.get(`${name}_late`) ?? NEVER;
  if (late > releaseAmps(circuit)) return NEVER;
  return (measured.get(`${name}_off`) ?? window.from) - window.from;
}

/** Whether the coil was held in every span of the timeline that asks for it. */
export function isHeld(circuit: Circuit, timeline: Timeline, measured: Measured, celsius: number): boolean {
  const least = holdVolts(circuit, celsius);
  const isPulled = timeline.held.every((_, i) => (measured.get(`held${i}`) ?? 0) >= least);
  // A broken coil has its voltage all the same.
  return isPulled && mayBeHeld(circuit, timeline, measured);
}

/** Whether the current never fell so low that any relay would have let go. */
function mayBeHeld(circuit: Circuit, timeline: Timeline, measured: Measured): boolean {
  return timeline.held.every((_, i) => (measured.get(`flow${i}`) ?? 0) > releaseAmps(circuit));
}

/** Period of the oscillator, s; infinite if it does not run. */
export function periodOf(timeline: Timeline, measured: Measured): number {
  const [first, last] = [measured.get('fall0'), measured.get('fall1')];
  if (first === undefined || last === undefined) return NEVER;
  return (last - first) / timeline.pace!.periods;
}

/** The timer ends every hold within seconds: nothing else can be seen, and nothing held. */
function endedAtOnce(period: number): Seen {
  const timerSec = Math.round(period * COUNTED_PERIODS);
  const none = { stopsLowMs: 0, stopsHighMs: 0, enableMs: 0, floatingMs: 0 };
  return {
    ...{ onAtRest: false, holds: false, mayHold: false, ...none },
    ...{ timerSec, hurriedSec: timerSec, staysOff: true },
  };
}

/** Everything a single fault could change, each seen in a run of its own. */
export async function observe(circuit: Circuit, breakages: Breakage[]): Promise<Seen> {
  const run = async (timeline: Timeline, stages = STAGES, more: Breakage[] = []): Promise<Measured> => {
    const bench = { circuit, timeline, stages, breakages: [...breakages, ...more], celsius: ROOM_CELSIUS };
    return (await spice(netlist(bench), [commands(circuit, timeline)]))[0];
  };
  const strayPeriod = periodOf(stray, await run(stray));
  if (strayPeriod !== NEVER) return endedAtOnce(strayPeriod);
  const ends = await run(endings);
  const over = await run(expires, SHORT_STAGES);
  const quick = await run(hurried, SHORT_STAGES);
  const lost = await run(floating, STAGES, [{ part: 'Q1', mode: 'short' }]);
  const ms = (timeline: Timeline, name: string, measured: Measured) =>
    Math.round(1000 * releasedAfter(circuit, timeline, name, measured));
  const timed = (timeline: Timeline, measured: Measured) =>
    Math.round(periodOf(timeline, measured) * COUNTED_PERIODS);
  return {
    onAtRest: (ends.get('rest') ?? NEVER) > releaseAmps(circuit),
    holds: isHeld(circuit, endings, ends, ROOM_CELSIUS) && isHeld(circuit, expires, over, ROOM_CELSIUS),
    mayHold: mayBeHeld(circuit, endings, ends),
    stopsLowMs: ms(endings, 'low', ends),
    stopsHighMs: ms(endings, 'high', ends),
    enableMs: ms(endings, 'enable', ends),
    floatingMs: ms(floating, 'floating', lost),
    timerSec: timed(expires, over),
    hurriedSec: releasedAfter(circuit, hurried, 'hurried', quick) === NEVER ? NEVER : timed(hurried, quick),
    staysOff: releasedAfter(circuit, expires, 'timer', over) !== NEVER,
  };
}
