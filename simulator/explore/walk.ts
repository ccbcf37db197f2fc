// Walks every reachable world depth first, each once, and stops at the first broken claim.
import type { Phase } from '../../firmware/contract/codes';
import { firstWorld, successors } from './actions';
import { SeenWorlds } from './key';
import type { WorldOptions } from './small';
import type { Subject } from './subject';
import type { World } from './world';

export interface WalkReport {
  states: number;
  transitions: number;
  /** The claim that broke, '' when none did. */
  broken: string;
  /** What led there: time in s and action, waiting left out. */
  path: string[];
  /** Phases and ends of tests that were reached: a walk that reaches little proves little. */
  phases: Set<number>;
  ends: Set<number>;
  /** True when the walk ended because its table was full, not because all was seen. */
  cut: boolean;
}

function pathOf(world: World): string[] {
  const path: string[] = [];
  for (let w: World | null = world; w; w = w.parent)
    if (w.action !== 'wait') path.unshift(`${(w.now / 1000).toFixed(2)} s ${w.action}`);
  return [...path, `${(world.now / 1000).toFixed(2)} s ${world.broken} (phase ${world.core.phase as Phase})`];
}

/**
 * Explores from power-on.
 * @param bits size of the table of seen worlds, see SeenWorlds
 */
export function walk(s: Subject, options: WorldOptions, bits: number): WalkReport {
  const seen = new SeenWorlds(bits);
  const report: WalkReport = {
    states: 0,
    transitions: 0,
    broken: '',
    path: [],
    phases: new Set(),
    ends: new Set(),
    cut: false,
  };
  const first = firstWorld(s, options);
  const stack: World[] = [first];
  seen.add(first);
  while (stack.length > 0) {
    const world = stack.pop() as World;
    if (world.now > world.times.horizon * 1000) continue;
    for (const next of successors(s, world, options)) {
      report.transitions++;
      report.phases.add(next.core.phase);
      report.ends.add(next.core.end);
      if (next.broken !== '') {
        report.broken = next.broken;
        report.path = pathOf(next);
        report.states = seen.size;
        return report;
      }
      if (seen.add(next)) stack.push(next);
    }
    if (seen.isFull()) {
      report.cut = true;
      break;
    }
  }
  report.states = seen.size;
  return report;
}
