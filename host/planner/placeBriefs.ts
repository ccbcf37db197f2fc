import { TestKind } from '../../firmware/contract/codes';
import {
  type CircuitWork,
  ownAfter,
  ownBeside,
  ownBetween,
  type Placing,
  testOn,
  tryNight,
} from './circuitWork';
import type { Night } from './nights';

/** The first brief tests of a plan are spread over this many days. */
const FIRST_BRIEF_DAYS = 14;
const RETRIES = 2;

/** Own nights for the next brief test, best first; those later than the aim come last, soonest first. */
function candidates(work: CircuitWork, placing: Placing, last: number): Night[] {
  const { everyDays, latestDays, earliestDays } = placing.profile.brief;
  const aim = last + everyDays.value;
  const least = last + leastGap(placing);
  const retryFits = (night: Night) => {
    const next = ownBeside(work, night, 1);
    const early = night.night < last + earliestDays.value;
    return !early && next !== undefined && next.night <= last + latestDays.value;
  };
  // Where the plan ends before the aim, a much earlier test is left to the next plan.
  const soonest = Math.max(aim > placing.untilNight ? last + earliestDays.value : last + 1, least);
  const inTime = ownBetween(work, soonest, aim).reverse();
  const late = ownBetween(work, Math.max(aim + 1, least), placing.untilNight);
  const ranked = [...inTime.filter(retryFits), ...inTime.filter((n) => !retryFits(n))];
  const keeps = (night: Night) => keepsRetry(work, placing, last, night);
  return [...ranked.filter(keeps), ...ranked.filter((n) => !keeps(n)), ...late];
}

/** Fewest days the rule permits between two brief tests, 1 where it says nothing. */
function leastGap(placing: Placing): number {
  return placing.profile.brief.leastGapDays?.value ?? 1;
}

/** True when the next test on that night leaves the one before room for a retry within the rule's gaps. */
function keepsRetry(work: CircuitWork, placing: Placing, last: number, next: Night): boolean {
  const gap = leastGap(placing);
  if (gap === 1 || work.tests.length === 0) return true;
  const retry = ownAfter(work, last);
  if (!retry) return true;
  const before = work.tests.at(-2)?.nights[0].night ?? work.lastBrief ?? placing.fromNight;
  const inTime = retry.night <= before + placing.profile.brief.latestDays.value;
  return !inTime || next.night >= retry.night + gap;
}

function firstCandidates(work: CircuitWork, placing: Placing): Night[] {
  const days = Math.min(FIRST_BRIEF_DAYS, placing.profile.brief.everyDays.value);
  const near = work.own.filter((n) => n.night < placing.fromNight + days);
  const turn = near.length > 0 ? work.rank % near.length : 0;
  return [...near.slice(turn), ...near.slice(0, turn), ...work.own.slice(near.length)];
}

/**
 * Places a circuit's brief tests: at most the profile's interval apart, and where the own nights allow it
 * a little less, so that a retry still falls within the latest date.
 */
export function placeBriefs(work: CircuitWork, placing: Placing): void {
  const latestDays = placing.profile.brief.latestDays.value;
  let last = work.lastBrief;
  for (;;) {
    const pool = last === undefined ? firstCandidates(work, placing) : candidates(work, placing, last);
    const night = pool.find((n) => tryNight(placing, work, TestKind.Brief, n));
    const due = (last ?? placing.fromNight) + latestDays;
    if ((night?.night ?? placing.untilNight) > due) {
      placing.shortfalls.push({ circuit: work.circuit.id, kind: TestKind.Brief, dueNight: due });
    }
    if (!night) return;
    work.tests.push({ kind: TestKind.Brief, nights: [night] });
    last = night.night;
  }
}

/** Last night on which a retry of the test at this place of the sequence is still of use. */
function retryLimit(work: CircuitWork, placing: Placing, at: number): number {
  const next = work.tests[at + 1]?.nights[0].night ?? placing.untilNight + 1;
  if (work.tests[at].kind !== TestKind.Brief) return next - 1;
  const nextBrief = work.tests.slice(at + 1).find((test) => test.kind === TestKind.Brief)?.nights[0].night;
  const clear = nextBrief === undefined ? placing.untilNight : nextBrief - leastGap(placing);
  const before = work.tests.slice(0, at).reverse();
  const last = before.find((test) => test.kind === TestKind.Brief)?.nights[0].night ?? work.lastBrief;
  const base = last ?? placing.fromNight;
  return Math.min(next - 1, clear, base + placing.profile.brief.latestDays.value);
}

/**
 * Gives every test up to two further chances on the own nights that follow, before the circuit's next
 * test, and for a brief test within the latest date: all chances of one test lie before those of the next.
 */
export function placeRetries(works: CircuitWork[], placing: Placing): void {
  for (let round = 0; round < RETRIES; round++) {
    for (const work of works) {
      work.tests.forEach((test, at) => {
        const limit = retryLimit(work, placing, at);
        const after = test.nights[test.nights.length - 1].night;
        const night = ownBetween(work, after + 1, limit).find(
          (n) => !testOn(work, n) && tryNight(placing, work, test.kind, n),
        );
        if (night) test.nights.push(night);
      });
    }
  }
}
