// The exposure of a plan, and what it is compared with.
import { TestKind } from '../../firmware/contract/codes';
import type { RuleProfile } from '../profiles/profile';
import type { Circuit } from '../site/model';
import { cheapestSequence, type Range } from './cost/bounds';
import { type Burden, type Exposure, hoursOfAll } from './cost/exposure';
import { bestFixedNightHours, naiveHours, type Yardstick } from './cost/yardsticks';
import type { Caps } from './nights/calendar';
import { type CircuitWork, firstNight, lengthsOf, type Placing, rechargeSecOf } from './placing/circuitWork';
import { furtherHours } from './placing/further';
import { firstFullRange } from './placing/placeFulls';
import type { MadePlan, Plan, PlannedTest } from './plan/plan';

/** Presence is known this long after the end of a plan: a controller accepts a recharge of up to a week. */
export const AHEAD_SEC = 9 * 86400;

export interface Measured {
  works: CircuitWork[];
  placing: Placing;
  exposure: Exposure;
  /** Numbers of all permitted nights. */
  at: Int32Array;
}

/** Every test of a plan at its first attempt, circuit by circuit. */
function testsByCircuit(plan: Plan, circuits: Circuit[], profile: RuleProfile): PlannedTest[] {
  const byId = new Map(circuits.map((circuit) => [circuit.id, circuit]));
  const tests: PlannedTest[] = [];
  for (const { circuit, slots } of plan.circuits) {
    const own = byId.get(circuit)!;
    let last = -1;
    for (const { test, kind, start } of slots) {
      if (test === last || kind === TestKind.None) continue;
      last = test;
      const end = start + lengthsOf(own, kind, profile).testSec;
      tests.push({ circuit, test, kind, start, end, recharged: end + rechargeSecOf(profile, kind) });
    }
  }
  return tests;
}

/** The indexes of tests in order of time; those that start together keep theirs. */
function inTime(tests: PlannedTest[]): Int32Array {
  const { length } = tests;
  // Numbers are sorted many times faster than objects.
  const keys = new Float64Array(length);
  let first = Number.POSITIVE_INFINITY;
  for (let i = 0; i < length; i++) {
    keys[i] = tests[i].start;
    if (keys[i] < first) first = keys[i];
  }
  for (let i = 0; i < length; i++) keys[i] = (keys[i] - first) * length + i;
  keys.sort();
  const order = new Int32Array(length);
  for (let i = 0; i < length; i++) order[i] = keys[i] % length;
  return order;
}

/** Every test of a plan at its first attempt, in order of time. */
export function testsOf(plan: Plan, circuits: Circuit[], profile: RuleProfile): PlannedTest[] {
  const tests = testsByCircuit(plan, circuits, profile);
  return ordered(tests, inTime(tests));
}

/** Tests that lie circuit by circuit, in an order of their indexes. */
export function ordered(tests: PlannedTest[], order: Int32Array): PlannedTest[] {
  const out: PlannedTest[] = [];
  for (let k = 0; k < order.length; k++) out.push(tests[order[k]]);
  return out;
}

/** Least cost of a circuit's test of a kind in each night; Infinity where it cannot be made. */
function priced(work: CircuitWork, burden: Burden, kind: TestKind, m: Measured): Float64Array {
  const { profile, starts, prices, nights } = m.placing;
  const lengths = lengthsOf(work.circuit, kind, profile);
  const common = prices.commonOf(m.placing, work, kind);
  return Float64Array.from(nights, (_, i) =>
    common[i] === Number.POSITIVE_INFINITY ? common[i] : starts.least(i, burden, lengths),
  );
}

/** A value calculated when it is first asked for. */
function once<T extends object | number>(calculate: () => T): () => T {
  let known: T | undefined;
  return () => {
    known ??= calculate();
    return known;
  };
}

/** From this many circuits up, the bound takes the areas of a circuit one by one: lower, but quick. */
const QUICK_CIRCUITS = 1000;

/** The least sums of hours of one circuit's tests of a kind, by what they depend on. */
class Bounds {
  /** By part of the burden. */
  private readonly known = new Map<string, number[]>();

  constructor(private readonly m: Measured) {}

  hours(work: CircuitWork, kind: TestKind, first: Range, interval: Range): number {
    const { placing, at, works } = this.m;
    const calculate = (burden: Burden) =>
      cheapestSequence(at, priced(work, burden, kind, this.m), first, interval, placing.untilNight);
    if (works.length < QUICK_CIRCUITS) return calculate(work.burden);
    // The least of a sum is no less than the sum of the least.
    const { burden } = work;
    const { testSec } = lengthsOf(work.circuit, kind, placing.profile);
    const key = `${burden.patterns} ${kind} ${testSec} ${first.first} ${first.last} ${interval.first} ${interval.last}`;
    let least = this.known.get(key);
    if (!least) {
      const patterns = burden.patterns.split(';');
      least = burden.parts.map(({ presence }, p) =>
        calculate({ ...burden, patterns: patterns[p], parts: [{ presence, share: 1 }] }),
      );
      this.known.set(key, least);
    }
    return burden.parts.reduce((sum, { share }, p) => sum + share * least[p], 0);
  }
}

function briefBound(work: CircuitWork, m: Measured, bounds: Bounds): number {
  const { latestDays, leastGapDays } = m.placing.profile.brief;
  const { fromNight, untilNight } = m.placing;
  const base = work.lastBrief ?? fromNight;
  // Where a long test counts as a function test, two function tests may lie two intervals apart, as may the
  // last one and the end.
  let isStoodFor = false;
  let before = base;
  for (const test of work.tests) {
    if (test.kind !== TestKind.Brief || test.more) continue;
    const night = firstNight(m.placing, test);
    isStoodFor ||= night - before > latestDays.value;
    before = night;
  }
  isStoodFor ||= untilNight - before > latestDays.value;
  const last = latestDays.value * (isStoodFor ? 2 : 1);
  const least = leastGapDays?.value ?? 1;
  return bounds.hours(
    work,
    TestKind.Brief,
    { first: base + least, last: Math.max(base + last, fromNight) },
    { first: least, last },
  );
}

function longBound(work: CircuitWork, m: Measured, bounds: Bounds): number {
  const { fromNight } = m.placing;
  const { latestDays, earlierDays } = m.placing.profile.full;
  const interval = { first: latestDays.value - earlierDays.value, last: latestDays.value };
  const { lastLong } = work;
  const after = (last: number) => ({
    first: last + interval.first,
    last: Math.max(last + interval.last, fromNight),
  });
  const range = lastLong === undefined ? firstFullRange(work, m.placing) : after(lastLong);
  return bounds.hours(work, work.longKind, range, interval);
}

/** The bound for all circuits: the cheapest nights of each, regardless of the others. */
function boundHours(m: Measured): number {
  const bounds = new Bounds(m);
  return m.works.reduce((sum, work) => sum + briefBound(work, m, bounds) + longBound(work, m, bounds), 0);
}

/** Marks the tests that come on top of those that the rule asks for. */
function markMore(tests: PlannedTest[], { works }: Measured): void {
  const starts = works.flatMap((work) => {
    const further = work.tests.filter((test) => test.more);
    const { id } = work.circuit;
    return further.map(({ places }) => `${id} ${work.taken.get(places[0])!.start}`);
  });
  const more = new Set(starts);
  if (more.size === 0) return;
  for (const test of tests) if (more.has(`${test.circuit} ${test.start}`)) test.more = true;
}

/** Hours of exposure: of all tests of a plan, and of those that the rule asks for. */
function hoursOfPlan(
  m: Measured,
  byCircuit: PlannedTest[],
  order: Int32Array,
): { all: number; rule: number } {
  // Circuit by circuit what is needed lies close together in memory; the sum is taken in order of time.
  const hours = hoursOfAll(m.exposure, byCircuit);
  let [all, rule] = [0, 0];
  for (let k = 0; k < order.length; k++) {
    all += hours[order[k]];
    if (!byCircuit[order[k]].more) rule += hours[order[k]];
  }
  return { all, rule };
}

export type MeasuredPlan = Pick<MadePlan, 'testsByCircuit' | 'exposureHours' | 'lowerBoundHours'> & {
  /** The exposure of those tests that the rule asks for. */
  readonly ruleHours: number;
  /** What it costs that tests on top of those come as rarely as they do; 0 where none are wanted. */
  readonly furtherHours: number;
  /** Of time, as indexes of `testsByCircuit`. */
  readonly order: Int32Array;
};

/**
 * The tests of a plan with their order of time, their exposure, and the bound that no plan can beat; each calculated
 * when it is first asked for, because nobody compares a plan that is renewed.
 */
export function measure(plan: Plan, m: Measured): MeasuredPlan {
  const circuits = m.works.map((work) => work.circuit);
  const tests = once(() => {
    const byCircuit = testsByCircuit(plan, circuits, m.placing.profile);
    markMore(byCircuit, m);
    return byCircuit;
  });
  const order = once(() => inTime(tests()));
  const hours = once(() => hoursOfPlan(m, tests(), order()));
  const bound = once(() => boundHours(m));
  const further = once(() => m.works.reduce((sum, work) => sum + furtherHours(m.placing, work), 0));
  return {
    get testsByCircuit() {
      return tests();
    },
    get order() {
      return order();
    },
    get exposureHours() {
      return hours().all;
    },
    get ruleHours() {
      return hours().rule;
    },
    get furtherHours() {
      return further();
    },
    get lowerBoundHours() {
      return bound();
    },
  };
}

/** Other ways to make as many tests as a plan, each calculated when it is first asked for. */
export function yardsticksOf(
  measured: MeasuredPlan,
  { placing, exposure }: Measured,
  caps: Caps,
): Pick<MadePlan, 'naiveExposureHours' | 'bestFixedNightHours'> {
  const { profile, nights, fromNight, untilNight } = placing;
  const daysOf = (kind: TestKind) =>
    kind === TestKind.Brief ? profile.brief.everyDays.value : profile.full.latestDays.value;
  const yardstick = once((): Yardstick => {
    const { testsByCircuit: tests, order } = measured;
    return { tests, order, nights, caps, fromNight, untilNight, daysOf, exposure };
  });
  let naive: number | null | undefined;
  let fixed: number | null | undefined;
  return {
    get naiveExposureHours() {
      if (naive === undefined) naive = naiveHours(yardstick());
      return naive;
    },
    get bestFixedNightHours() {
      if (fixed === undefined) fixed = bestFixedNightHours(yardstick());
      return fixed;
    },
  };
}
