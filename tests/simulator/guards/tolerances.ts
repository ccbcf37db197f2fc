// Many pieces of a circuit in ngspice at one temperature, and how they release and count.
import { COUNTED_PERIODS, clockwork, guardBoard, releasing } from '../../../simulator/guards/board';
import type { Measures, Range } from '../../../simulator/guards/document';
import { LIMITS } from '../../../simulator/guards/faults';
import { commands, netlist, releaseAmps } from '../../../simulator/guards/netlist';
import type { Circuit } from '../../../simulator/guards/part';
import { alterations, sampleOf } from '../../../simulator/guards/samples';
import { endings, fastPace, ownPace, type Timeline } from '../../../simulator/guards/timeline';
import { type Measured, spice } from '../../support/spice';
import { isHeld, periodOf, releasedAfter } from './observe';

const STAGES = 14;
export const COLD_ROOM_HOT = [-10, 25, 60];

/** Runs a timeline on `count` pieces of `whole` from piece `first` on, with those parts of it that `circuit` has. */
export function runSamples(
  whole: Circuit,
  circuit: Circuit,
  timeline: Timeline,
  celsius: number,
  count: number,
  first = 0,
): Promise<Measured[]> {
  const runs = Array.from({ length: count }, (_, i) => [
    ...alterations(circuit, sampleOf(whole, first + i, celsius)),
    ...commands(circuit, timeline),
  ]);
  return spice(netlist({ circuit, timeline, breakages: [], stages: STAGES, celsius }), runs);
}

/** One piece that keeps to its limits says nothing; any other says what is wrong. */
function complaint(circuit: Circuit, celsius: number, m: Measured): string {
  const late = (name: string, limitMs: number) => 1000 * releasedAfter(circuit, endings, name, m) > limitMs;
  if ((m.get('rest') ?? 1) > releaseAmps(circuit)) return 'on at rest';
  if (!isHeld(circuit, endings, m, celsius)) return `not held through pauses of ${LIMITS.pauseMs} ms`;
  if (late('low', LIMITS.detectorMs)) return 'held by a pin stuck low';
  if (late('high', LIMITS.detectorMs)) return 'held by a pin stuck high';
  return late('enable', LIMITS.enableMs) ? 'held without enable' : '';
}

function range(values: number[]): Range {
  return [Math.floor(Math.min(...values)), Math.ceil(Math.max(...values))];
}

function countBy(words: string[]): { [word: string]: number } {
  const counts: { [word: string]: number } = {};
  for (const word of words.filter(Boolean)) counts[word] = (counts[word] ?? 0) + 1;
  return counts;
}

export async function measureEndings(
  whole: Circuit,
  circuit: Circuit,
  celsius: number,
  count: number,
  first = 0,
) {
  const ends = await runSamples(whole, circuit, endings, celsius, count, first);
  const ms = (name: string) => range(ends.map((m) => 1000 * releasedAfter(circuit, endings, name, m)));
  return {
    complaints: countBy(ends.map((m) => complaint(circuit, celsius, m))),
    stopsLowMs: ms('low'),
    stopsHighMs: ms('high'),
    enableMs: ms('enable'),
  };
}

/** Two sets of pieces as one. */
export function joined(a: Measures, b: Measures): Measures {
  const wide = (x: Range, y: Range): Range => [Math.min(x[0], y[0]), Math.max(x[1], y[1])];
  const complaints = { ...a.complaints };
  for (const [words, n] of Object.entries(b.complaints)) complaints[words] = (complaints[words] ?? 0) + n;
  return {
    complaints,
    stopsLowMs: wide(a.stopsLowMs, b.stopsLowMs),
    stopsHighMs: wide(a.stopsHighMs, b.stopsHighMs),
    enableMs: wide(a.enableMs, b.enableMs),
    timerSec: wide(a.timerSec, b.timerSec),
    hurriedSec: wide(a.hurriedSec, b.hurriedSec),
  };
}

/** All that the guard board must keep to, over `count` pieces of it from piece `first` on. */
export async function measure(celsius: number, count: number, first = 0): Promise<Measures> {
  const seconds = async (timeline: Timeline) => {
    const runs = await runSamples(guardBoard, clockwork, timeline, celsius, count, first);
    return range(runs.map((m) => periodOf(timeline, m) * COUNTED_PERIODS));
  };
  const ends = await measureEndings(guardBoard, releasing, celsius, count, first);
  return { ...ends, timerSec: await seconds(ownPace), hurriedSec: await seconds(fastPace) };
}
