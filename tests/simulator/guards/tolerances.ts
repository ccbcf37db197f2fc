// Many pieces of a circuit in ngspice at one temperature, and how they release and count.
import { COUNTED_PERIODS, clockwork, guardBoard, releasing } from '../../../simulator/guards/board';
import { LIMITS } from '../../../simulator/guards/faults';
import { commands, netlist, releaseAmps } from '../../../simulator/guards/netlist';
import type { Circuit } from '../../../simulator/guards/part';
import { alterations, sampleOf } from '../../../simulator/guards/samples';
import { endings, fastPace, ownPace, type Timeline } from '../../../simulator/guards/timeline';
import { type Measured, spice } from '../../support/spice';
import { isHeld, periodOf, releasedAfter } from './observe';

const STAGES = 14;

/** Runs a timeline on pieces 0 to `count` - 1 of `whole`, with those parts of it that `circuit` has. */
export function runSamples(
  whole: Circuit,
  circuit: Circuit,
  timeline: Timeline,
  celsius: number,
  count: number,
): Promise<Measured[]> {
  const runs = Array.from({ length: count }, (_, i) => [
    ...alterations(circuit, sampleOf(whole, i, celsius)),
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

export type Range = [least: number, most: number];

export interface Measures {
  /** Pieces with a complaint, by complaint. */
  complaints: { [complaint: string]: number };
  stopsLowMs: Range;
  stopsHighMs: Range;
  enableMs: Range;
  timerSec: Range;
  hurriedSec: Range;
}

function range(values: number[]): Range {
  return [Math.floor(Math.min(...values)), Math.ceil(Math.max(...values))];
}

function countBy(words: string[]): { [word: string]: number } {
  const counts: { [word: string]: number } = {};
  for (const word of words.filter(Boolean)) counts[word] = (counts[word] ?? 0) + 1;
  return counts;
}

export async function measureEndings(whole: Circuit, circuit: Circuit, celsius: number, count: number) {
  const ends = await runSamples(whole, circuit, endings, celsius, count);
  const ms = (name: string) => range(ends.map((m) => 1000 * releasedAfter(circuit, endings, name, m)));
  return {
    complaints: countBy(ends.map((m) => complaint(circuit, celsius, m))),
    stopsLowMs: ms('low'),
    stopsHighMs: ms('high'),
    enableMs: ms('enable'),
  };
}

/** All that the guard board must keep to, over `count` pieces of it. */
export async function measure(celsius: number, count: number): Promise<Measures> {
  const seconds = async (timeline: Timeline) => {
    const runs = await runSamples(guardBoard, clockwork, timeline, celsius, count);
    return range(runs.map((m) => periodOf(timeline, m) * COUNTED_PERIODS));
  };
  const ends = await measureEndings(guardBoard, releasing, celsius, count);
  return { ...ends, timerSec: await seconds(ownPace), hurriedSec: await seconds(fastPace) };
}
