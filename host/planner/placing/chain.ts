// Which nights a circuit's tests of one kind take: the cheapest chain of nights in which each follows the one
// before within the rule's interval. A dynamic programme over the circuit's own nights.

/** Weights of drawbacks, in hours of exposure (our choice, no source). */
export const WORTH = {
  /** Each day by which a test is later than the rule allows: nothing else outweighs one. */
  lateDay: 1e4,
  /** The same for a test already due before the plan began: it should be soon, but not at any price. */
  overdueDay: 1,
  /** No test in the plan although one is due. */
  missing: 1e7,
  /** A long test counts as a function test: less than a day late. */
  standsIn: 5e3,
  /** If the test is void, no other own night is left to repeat it in time. */
  noRetry: 0.1,
  /** Later than the plan aims at, but not too late. */
  beyondAim: 0.05,
  /**
   * It takes the only own night on which the preceding long test could be repeated soon; likewise the
   * preceding function test.
   */
  takesLongRetry: 0.2,
  takesBriefRetry: 0.03,
  /** It takes an own night on which a long test on top of the rule's own could be made. */
  takesFurtherLong: 0.01,
  /**
   * So many long tests share the night that no function test fits: where others can skip a night, and where
   * they cannot.
   */
  fillsNight: { some: 0.005, all: 100 },
  /** Each day before the aim: more tests than needed. */
  earlyDay: 0.0002,
};

export interface ChainRules {
  /** Days from one test to the next: fewest, most in time, and the aim. */
  least: number;
  most: number;
  aim: number;
  /** A step shorter than this leaves no time to repeat, days. */
  early: number;
  /** A repeat also keeps the least distance to the next test. */
  keepsRetry: boolean;
  /** Number of the last night of the plan. */
  end: number;
}

export interface ChainNights {
  /** Night numbers in order. */
  at: Int32Array;
  /** Cost of a test there, hours; Infinity where none is possible. */
  cost: number[];
  /** Extra cost of being the first test there. */
  first: (place: number) => number;
  /** Cost of having no test at all. */
  none: number;
  /** 1 where a test has been announced: it stays, and costs nothing. */
  told?: Uint8Array | undefined;
}

export interface Chain {
  cost: number;
  /** Indexes of the nights taken. */
  places: number[];
}

/** Cost of a step from one night to a later one; Infinity where the rule forbids it. */
function stepCost(gap: number, nextAfterFrom: number, nextAfterTo: number, rules: ChainRules): number {
  if (gap < rules.least) return Number.POSITIVE_INFINITY;
  if (gap > rules.most) return WORTH.lateDay * (gap - rules.most);
  // The night after the later one comes `nextAfterTo` days after the earlier test.
  const isRepeatable = gap >= rules.early && nextAfterTo <= rules.most;
  const keeps = !rules.keepsRetry || gap >= nextAfterFrom + rules.least;
  return (
    (isRepeatable && keeps ? 0 : (WORTH.noRetry * gap) / rules.most) +
    (gap > rules.aim ? WORTH.beyondAim : WORTH.earlyDay * (rules.aim - gap))
  );
}

/** The same from a test before the plan, which may have been overdue when it began. */
export function firstStepCost(
  base: number,
  from: number,
  at: number,
  nextAt: number,
  rules: ChainRules,
): number {
  const gap = at - base;
  if (gap > rules.most && base + rules.most <= from) return WORTH.overdueDay * (gap - rules.most);
  return stepCost(gap, 0, nextAt - base, rules);
}

/** Nights to look back when the rule's interval finds none in time. */
const LATE_REACH = 3;

/** By index of a night, the least cost of a chain that ends there, and the index before it; for one chain at a time. */
let sums = new Float64Array(0);
let befores = new Int32Array(0);

/** The cheapest chain through all announced tests; of equal ones, the one with the later nights. */
export function cheapestChain(nights: ChainNights, rules: ChainRules): Chain {
  const { at, cost, told } = nights;
  const count = cost.length;
  if (sums.length < count) [sums, befores] = [new Float64Array(2 * count), new Int32Array(2 * count)];
  const [sum, from] = [sums.fill(Number.POSITIVE_INFINITY, 0, count), befores.fill(-1, 0, count)];
  const next = (i: number) => (i + 1 < count ? at[i + 1] : Number.POSITIVE_INFINITY);
  let lastTold = -1;
  // An announced test may be the first however soon it comes, and no mere preference puts another before it.
  const first = (i: number) => {
    if (lastTold >= 0) return Number.POSITIVE_INFINITY;
    const start = nights.first(i);
    return told?.[i] && (start < WORTH.overdueDay || start === Number.POSITIVE_INFINITY) ? 0 : start;
  };
  // The last night far enough before; where tests have been announced the rule has exceptions, so all are looked at.
  let far = -1;
  for (let i = 0; i < count; i++) {
    while (far + 1 < i && (told || at[i] - at[far + 1] >= rules.least)) far++;
    if (cost[i] === Number.POSITIVE_INFINITY) continue;
    let best = first(i);
    let before = -1;
    let late = 0;
    for (let j = far; j >= 0; j--) {
      if (sum[j] === Number.POSITIVE_INFINITY) continue;
      const gap = at[i] - at[j];
      if (gap > rules.most && ++late > LATE_REACH) break;
      const isKnown = told?.[i] === 1 && (told[j] === 1 || gap >= rules.least || !rules.keepsRetry);
      const step = isKnown
        ? WORTH.lateDay * Math.max(0, gap - rules.most)
        : stepCost(gap, at[j + 1] - at[j], next(i) - at[j], rules);
      if (sum[j] + step < best) {
        best = sum[j] + step;
        before = j;
      }
      if (told?.[j]) break;
    }
    if (told?.[i]) lastTold = i;
    sum[i] = best + cost[i];
    from[i] = before;
  }
  let last = -1;
  let least = lastTold < 0 ? nights.none : Number.POSITIVE_INFINITY;
  for (let i = Math.max(0, lastTold); i < count; i++) {
    const total = sum[i] + WORTH.lateDay * Math.max(0, rules.end - at[i] - rules.most);
    if (total <= least) {
      least = total;
      last = i;
    }
  }
  const places: number[] = [];
  for (let i = last; i >= 0; i = from[i]) places.unshift(i);
  return { cost: least, places };
}
