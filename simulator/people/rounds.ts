// Which circuit an electrician tests by hand on which working day: one after another for function tests,
// several together for duration tests. All instants in simulated ms.
import { TestKind } from '../../firmware/contract/codes';
import type { Span } from '../plant/spans';

/** Hours of one day in which tests may be made. */
export interface WorkDay extends Span {
  /** Days with the same name form a round, in which every circuit is tested once. */
  round: string;
  /** The yearly round, in which the supply stays off for the whole rated duration. */
  isFull: boolean;
}

export interface RoundRules {
  /** Time to walk round one circuit, ms. */
  walkMs: number;
  /** Most circuits discharged together in duration tests. */
  atOnce: number;
}

/** One turn of a key: `circuit` and `day` are indexes into the lists given. */
export interface Turn {
  circuit: number;
  day: number;
  kind: TestKind.Brief | TestKind.Full;
  from: number;
}

function fillDay(day: WorkDay, waiting: number[], ratedMs: number[], rules: RoundRules): [number, number][] {
  const taken: [number, number][] = [];
  let from = day.from;
  while (waiting.length > 0 && (!day.isFull || taken.length < rules.atOnce)) {
    const [circuit] = waiting;
    if (from + (day.isFull ? ratedMs[circuit] : 0) + rules.walkMs > day.to) break;
    taken.push([circuit, from]);
    waiting.shift();
    from += rules.walkMs;
  }
  return taken;
}

/**
 * All turns of a key, in order of time. What does not fit into the days of a round is not tested in it.
 * @param ratedMs longest rated duration of each circuit, ms
 */
export function layOutRounds(ratedMs: number[], days: WorkDay[], rules: RoundRules): Turn[] {
  const turns: Turn[] = [];
  let round: string | undefined;
  let waiting: number[] = [];
  days.forEach((day, place) => {
    if (day.round !== round) waiting = ratedMs.map((_, circuit) => circuit);
    round = day.round;
    const kind = day.isFull ? TestKind.Full : TestKind.Brief;
    for (const [circuit, from] of fillDay(day, waiting, ratedMs, rules))
      turns.push({ circuit, day: place, kind, from });
  });
  return turns;
}
