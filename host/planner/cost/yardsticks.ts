// What a plan's exposure is compared with: ways of planning that look neither at people nor at neighbours but
// keep the same caps. Each makes as many tests of each circuit as the plan, at the rule's intervals.
import { TestKind } from '../../../firmware/contract/codes';
import { slotNeedSec } from '../../site/windows';
import type { Caps } from '../nights/calendar';
import { modulo, type Night } from '../nights/nights';
import type { PlannedTest } from '../plan/plan';
import { type Burden, type Exposure, hoursOf } from './exposure';

const WEEK = 7;

/** Starts in one night, one after another: each as early as the caps allow. */
class Queue {
  private next: number;
  /** Ends of the slots that are open at `next`, in order. */
  private readonly ends: number[] = [];

  constructor(
    private readonly night: Night,
    private readonly caps: Caps,
  ) {
    this.next = night.start;
  }

  /** Takes the first start left for a slot of that length; Infinity if none is. */
  take(lengthSec: number): number {
    const { ends, caps, night } = this;
    while (ends.length > 0 && ends[0] <= this.next) ends.shift();
    const start = ends.length < caps.atOnce ? this.next : ends[ends.length - caps.atOnce];
    if (start + lengthSec > night.end) return Number.POSITIVE_INFINITY;
    let at = ends.length;
    while (at > 0 && ends[at - 1] > start + lengthSec) at--;
    ends.splice(at, 0, start + lengthSec);
    this.next = start + caps.staggerSec;
    return start;
  }
}

/** What a yardstick is made from. */
export interface Yardstick {
  /** The plan's. */
  tests: PlannedTest[];
  nights: Night[];
  caps: Caps;
  fromNight: number;
  untilNight: number;
  /** The rule's interval of a kind, days. */
  daysOf(kind: TestKind): number;
  exposure: Pick<Exposure, 'of'>;
}

/** Tests of a circuit that take equally long. */
interface Timed {
  burden: Burden;
  /** Length of the slot, and from the start of the test until it has recharged, s. */
  slotSec: number;
  spanSec: number;
}

/** The tests that are due on one night: of each circuit the first of a kind, the second, and so on. */
interface Round {
  due: number;
  tests: Timed[];
}

function roundsOf({ tests, fromNight, untilNight, daysOf, exposure }: Yardstick, isBrief: boolean): Round[] {
  const known = new Map<string, { timed: Timed; turn: number }>();
  const rounds: Timed[][] = [];
  for (const { circuit, kind, start, end, recharged } of tests) {
    if ((kind === TestKind.Brief) !== isBrief) continue;
    const [slotSec, spanSec] = [slotNeedSec(end - start), recharged - start];
    let own = known.get(circuit);
    if (!own) {
      own = { timed: { burden: exposure.of(circuit), slotSec, spanSec }, turn: 0 };
      known.set(circuit, own);
    } else if (own.timed.slotSec !== slotSec || own.timed.spanSec !== spanSec)
      own.timed = { ...own.timed, slotSec, spanSec };
    if (rounds.length === own.turn) rounds.push([]);
    rounds[own.turn++].push(own.timed);
  }
  const days = daysOf(isBrief ? TestKind.Brief : TestKind.Full);
  const step = Math.min(days, Math.floor((untilNight - fromNight) / Math.max(1, rounds.length)));
  return rounds.map((round, k) => ({ due: fromNight + (k + 1) * step, tests: round }));
}

/** The long tests first, since they need most room. */
function allRounds(m: Yardstick): Round[] {
  return [...roundsOf(m, false), ...roundsOf(m, true)];
}

/**
 * Hours of exposure where every round is made on the last of these nights by which it is due. Tests that do not
 * fit go to the nights after it, or, where the plan ends, to those before. Infinity where they fit nowhere, and as
 * soon as the sum exceeds `most`.
 */
function hoursOn(nights: Night[], rounds: Round[], m: Yardstick, most: number): number {
  if (nights.length === 0) return m.tests.length === 0 ? 0 : Number.POSITIVE_INFINITY;
  const queues = nights.map((night) => new Queue(night, m.caps));
  let sum = 0;
  const place = ({ burden, slotSec, spanSec }: Timed, at: number): number => {
    const start = queues[at].take(slotSec);
    if (start < Number.POSITIVE_INFINITY) sum += hoursOf(burden, start, start + spanSec);
    return start;
  };
  for (const { due, tests } of rounds) {
    const wished = Math.max(
      0,
      nights.findLastIndex((night) => night.night <= due),
    );
    let at = wished;
    let step = 1;
    for (const test of tests) {
      while (place(test, at) === Number.POSITIVE_INFINITY) {
        at += step;
        if (at === nights.length) [at, step] = [wished - 1, -1];
        if (at < 0) return Number.POSITIVE_INFINITY;
      }
      if (sum > most) return Number.POSITIVE_INFINITY;
    }
  }
  return sum;
}

/**
 * Exposure of the naive plan, hours: every circuit on the same night, the last permitted one of its interval, from
 * the start of the window. null where the nights have no room for all tests.
 */
export function naiveHours(m: Yardstick): number | null {
  const hours = hoursOn(m.nights, allRounds(m), m, Number.POSITIVE_INFINITY);
  return hours < Number.POSITIVE_INFINITY ? hours : null;
}

/** The same on one night of the week only, the best; null where no night of the week has room for all tests. */
export function bestFixedNightHours(m: Yardstick): number | null {
  const rounds = allRounds(m);
  let best = Number.POSITIVE_INFINITY;
  for (let day = 0; day < WEEK; day++) {
    const nights = m.nights.filter(({ night }) => modulo(night, WEEK) === day);
    best = Math.min(best, hoursOn(nights, rounds, m, best));
  }
  return best < Number.POSITIVE_INFINITY ? best : null;
}
