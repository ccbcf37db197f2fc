// What a plan's exposure is compared with: ways of planning that look neither at people nor at neighbours but
// keep the same caps. Each makes as many tests of each circuit as the plan, at the rule's intervals.
import { TestKind } from '../../../firmware/contract/codes';
import { slotNeedSec } from '../../site/windows';
import type { Caps } from '../nights/calendar';
import { modulo, type Night } from '../nights/nights';
import type { PlannedTest } from '../plan/plan';
import type { Burden, Exposure, Presence } from './exposure';

const WEEK = 7;

/** Starts in one night, one after another: each as early as the caps allow. */
class Queue {
  private next: number;
  /** Ends of slots in order; those that are open at `next` from `head` on. */
  private readonly ends: number[] = [];
  private head = 0;

  constructor(
    private readonly night: Night,
    private readonly caps: Caps,
  ) {
    this.next = night.start;
  }

  /** Takes the first start left for a slot of that length; Infinity if none is. */
  take(lengthSec: number): number {
    const { ends, caps, night } = this;
    while (this.head < ends.length && ends[this.head] <= this.next) this.head++;
    const start = ends.length - this.head < caps.atOnce ? this.next : ends[ends.length - caps.atOnce];
    const end = start + lengthSec;
    if (end > night.end) return Number.POSITIVE_INFINITY;
    if (this.head === ends.length || ends[ends.length - 1] <= end) ends.push(end);
    else {
      let at = ends.length - 1;
      while (at > this.head && ends[at - 1] > end) at--;
      ends.splice(at, 0, end);
    }
    this.next = start + caps.staggerSec;
    return start;
  }
}

/** What a yardstick is made from. */
export interface Yardstick {
  /** The plan's; quickest circuit by circuit. Those on top of the rule's own do not count. */
  tests: PlannedTest[];
  /** Their indexes in order of time; as they are by default. */
  order?: Int32Array;
  nights: Night[];
  caps: Caps;
  fromNight: number;
  untilNight: number;
  /** The rule's interval of a kind, days. */
  daysOf(kind: TestKind): number;
  exposure: Pick<Exposure, 'of'>;
}

/**
 * Tests that cost the same at any start, by number: those of a circuit that take equally long. In arrays, since every
 * test of the plan is asked for eight times, in an order that leaves little of it in the processor's memory.
 */
class Kinds {
  /** Length of the slot, and from the start of the test until it has recharged, s. */
  private readonly slotSec: number[] = [];
  private readonly spanSec: number[] = [];
  /** Index of the first part of the burden of each, and behind the last one that of the next. */
  private readonly first: number[] = [0];
  private readonly shares: number[] = [];
  private readonly patterns: number[] = [];
  private readonly presences: Presence[] = [];

  add({ parts }: Burden, slotSec: number, spanSec: number): number {
    for (const { presence, share } of parts) {
      let pattern = this.presences.indexOf(presence);
      if (pattern < 0) pattern = this.presences.push(presence) - 1;
      this.patterns.push(pattern);
      this.shares.push(share);
    }
    this.first.push(this.patterns.length);
    this.spanSec.push(spanSec);
    return this.slotSec.push(slotSec) - 1;
  }

  /** The same test with other lengths. */
  again(kind: number, burden: Burden, slotSec: number, spanSec: number): number {
    const isSame = this.slotSec[kind] === slotSec && this.spanSec[kind] === spanSec;
    return isSame ? kind : this.add(burden, slotSec, spanSec);
  }

  slotOf(kind: number): number {
    return this.slotSec[kind];
  }

  /** Hours of exposure of a test that begins at a UTC second. */
  hours(kind: number, start: number): number {
    const end = start + this.spanSec[kind];
    let sec = 0;
    for (let p = this.first[kind]; p < this.first[kind + 1]; p++)
      sec += this.shares[p] * this.presences[this.patterns[p]].within(start, end);
    return sec / 3600;
  }
}

/** The tests that are due on one night: of each circuit the first of a kind, the second, and so on. */
interface Round {
  due: number;
  kinds: number[];
}

/** By test, its number among `Kinds`, or -1 where it does not count; and its turn among those of its circuit. */
function turnsOf({ tests, exposure }: Yardstick, kinds: Kinds, isBrief: boolean) {
  const kindAt = new Int32Array(tests.length).fill(-1);
  const turnAt = new Int32Array(tests.length);
  const known = new Map<string, { circuit: string; burden: Burden; kind: number; turn: number }>();
  let own: ReturnType<(typeof known)['get']>;
  for (let i = 0; i < tests.length; i++) {
    const { circuit, kind, start, end, recharged, more } = tests[i];
    if ((kind === TestKind.Brief) !== isBrief || more) continue;
    const [slotSec, spanSec] = [slotNeedSec(end - start), recharged - start];
    if (own?.circuit !== circuit) own = known.get(circuit);
    if (own) own.kind = kinds.again(own.kind, own.burden, slotSec, spanSec);
    else {
      const burden = exposure.of(circuit);
      own = { circuit, burden, kind: kinds.add(burden, slotSec, spanSec), turn: 0 };
      known.set(circuit, own);
    }
    kindAt[i] = own.kind;
    turnAt[i] = own.turn++;
  }
  return { kindAt, turnAt };
}

function roundsOf(m: Yardstick, kinds: Kinds, isBrief: boolean): Round[] {
  const { tests, order, fromNight, untilNight, daysOf } = m;
  const { kindAt, turnAt } = turnsOf(m, kinds, isBrief);
  const rounds: number[][] = [];
  for (let k = 0; k < tests.length; k++) {
    const i = order ? order[k] : k;
    if (kindAt[i] < 0) continue;
    if (rounds.length === turnAt[i]) rounds.push([]);
    rounds[turnAt[i]].push(kindAt[i]);
  }
  const days = daysOf(isBrief ? TestKind.Brief : TestKind.Full);
  const step = Math.min(days, Math.floor((untilNight - fromNight) / Math.max(1, rounds.length)));
  return rounds.map((round, k) => ({ due: fromNight + (k + 1) * step, kinds: round }));
}

interface Laid {
  kinds: Kinds;
  rounds: Round[];
}

const laid = new WeakMap<Yardstick, Laid>();

/** The long tests first, since they need most room. */
function layOut(m: Yardstick): Laid {
  let known = laid.get(m);
  if (!known) {
    const kinds = new Kinds();
    known = { kinds, rounds: [...roundsOf(m, kinds, false), ...roundsOf(m, kinds, true)] };
    laid.set(m, known);
  }
  return known;
}

/**
 * Hours of exposure where every round is made on the last of these nights by which it is due. Tests that do not
 * fit go to the nights after it, or, where the plan ends, to those before. Infinity where they fit nowhere, and as
 * soon as the sum exceeds `most`.
 */
function hoursOn(nights: Night[], m: Yardstick, most: number): number {
  const { kinds, rounds } = layOut(m);
  if (nights.length === 0) return rounds.length === 0 ? 0 : Number.POSITIVE_INFINITY;
  const queues = nights.map((night) => new Queue(night, m.caps));
  let sum = 0;
  const place = (kind: number, at: number): number => {
    const start = queues[at].take(kinds.slotOf(kind));
    if (start < Number.POSITIVE_INFINITY) sum += kinds.hours(kind, start);
    return start;
  };
  for (const { due, kinds: all } of rounds) {
    const wished = Math.max(
      0,
      nights.findLastIndex((night) => night.night <= due),
    );
    let at = wished;
    let step = 1;
    for (const kind of all) {
      while (place(kind, at) === Number.POSITIVE_INFINITY) {
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
  const hours = hoursOn(m.nights, m, Number.POSITIVE_INFINITY);
  return hours < Number.POSITIVE_INFINITY ? hours : null;
}

/** The same on one night of the week only, the best; null where no night of the week has room for all tests. */
export function bestFixedNightHours(m: Yardstick): number | null {
  let best = Number.POSITIVE_INFINITY;
  for (let day = 0; day < WEEK; day++) {
    const nights = m.nights.filter(({ night }) => modulo(night, WEEK) === day);
    best = Math.min(best, hoursOn(nights, m, best));
  }
  return best < Number.POSITIVE_INFINITY ? best : null;
}
