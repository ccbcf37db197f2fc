// Years of an estate: each controller on its own, on all cores, with the host's planner and the smallest log
// book that can show whether a record was lost, doubled or changed. Memory does not grow with the years.
import { createHash } from 'node:crypto';
import { availableParallelism } from 'node:os';
import { OrderKind, TestKind } from '../../firmware/contract/codes';
import { NeighbourCheck } from '../../simulator/checkers/neighbours';
import { fork } from '../../simulator/random';
import type { Wish } from '../../simulator/run/leanHost';
import type { Renewal, Standing } from '../../simulator/run/lone';
import type { LiveHeap } from '../../simulator/run/shard';
import { Team } from '../../simulator/run/team';
import type { FleetSpec } from '../../simulator/spec';
import { createDesired, type DesiredState } from '../house/desired/desired';
import type { KeyRing } from '../keys';
import type { CircuitHistory } from '../planner/planner';
import { profileFor } from '../profiles/profile';
import type { Site } from '../site/model';
import { fleetSpecOf, rulesOf, startUtcMs, visitsOf } from './estate';
import type { TestCounts } from './rehearsal';

const DAY_MS = 86400000;
/** Time after the last simulated day in which the last records reach the log book, ms. */
const SETTLE_MS = 3600000;
/** Days from one plan to the next: the host renews a plan of 400 days when 100 are left. */
const RENEWAL_DAYS = 300;
/** One sentence per broken invariant, up to this many. */
const TOLD_MAX = 100;
/**
 * Controller-days per thread: the engine learns the program anew in each, at the cost of some two hundred
 * controller-years.
 */
const THREAD_DAYS = 73_050;
const NO_MEMORY = { recall: () => '', remember: () => {} };

export interface LongRunOptions {
  site: Site;
  keys: KeyRing;
  seed: number;
  days: number;
  /** Most threads; by default one per core, as far as the run is long enough. */
  workers?: number;
  /** The fleet to simulate, if not the site's own. */
  prepare?: (fleet: FleetSpec) => FleetSpec;
  /**
   * Called after each span of time with the days done, what lives in each thread, and the state of each
   * controller.
   */
  onSpan?: (days: number, heaps: LiveHeap[], standings: Standing[]) => void;
  /** Count what lives in each thread (see Team); otherwise it is reported as 0. */
  countsHeap?: boolean;
}

export interface LongRunResult {
  workers: number;
  tests: TestCounts;
  violations: string[];
  recordsWritten: number;
  recordsInLogbook: number;
  recordsLost: number;
  recordsDuplicated: number;
  /** Records and states with a wrong signature or a wrong place in the chain. */
  recordsBroken: number;
  finalHash: string;
}

/** What the planner must know about the past. */
function historyOf(standing: Standing | undefined): CircuitHistory {
  if (!standing) return {};
  const lastAt = standing.account.lastAt;
  const history: CircuitHistory = {};
  const last = Math.max(...lastAt);
  if (last > 0) history.lastBrief = last;
  if (lastAt[TestKind.Full] > 0) history.lastFull = lastAt[TestKind.Full];
  if (lastAt[TestKind.Limited] > 0) history.lastLimited = lastAt[TestKind.Limited];
  return history;
}

class LongRun {
  readonly fleet: FleetSpec;
  private readonly startMs: number;
  private readonly desired: DesiredState;
  private readonly check: NeighbourCheck;
  private readonly violations: string[] = [];
  private standings: Standing[] = [];

  constructor(private readonly o: LongRunOptions) {
    const { site, keys, seed } = o;
    this.startMs = startUtcMs(site);
    const places = new Map(site.circuits.map(({ id }, i) => [id, i]));
    this.desired = createDesired({
      site,
      memory: NO_MEMORY,
      history: (circuit) => historyOf(this.standings[places.get(circuit) as number]),
    });
    this.desired.refresh(this.startMs / 1000);
    const spec = fleetSpecOf({
      ...{ site, keys, seed, profile: profileFor(site), plan: this.desired.plan()!.plan },
      // Visits are drawn with each plan.
      days: -2,
      link: { keepAliveSec: 0, heartbeatSec: 86400, liveMs: 0 },
    });
    for (const { rules } of spec.controllers) rules.slots = [];
    const fleet = { ...spec, isSparing: true };
    this.fleet = o.prepare?.(fleet) ?? fleet;
    this.check = new NeighbourCheck(spec.controllers, this.startMs);
  }

  /** Days on which controllers are sent something new, and the end. */
  private marks(): number[] {
    const marks = new Set([this.o.days]);
    for (let day = 0; day < this.o.days; day += RENEWAL_DAYS) marks.add(day);
    for (const fault of this.o.site.simulation.faults)
      if ('repairedDay' in fault && fault.repairedDay < this.o.days) marks.add(fault.repairedDay);
    return [...marks].sort((a, b) => a - b);
  }

  /** A new plan, the settings that go with it, and the people until the next one. */
  renewals(day: number): Renewal[] {
    const { site, seed, days } = this.o;
    this.desired.refresh(this.startMs / 1000 + day * 86400);
    const plan = this.desired.plan()!.plan;
    const profile = profileFor(site);
    const end = Math.min(day + RENEWAL_DAYS, days + 2);
    return site.circuits.map((circuit) => {
      const desired = this.desired.of(circuit.id);
      const random = fork(seed, `visits ${circuit.id} ${day}`);
      const visits = visitsOf(site, circuit, day, end, random);
      return {
        settings: desired.settings!,
        plan: desired.plan!,
        rules: rulesOf(circuit, plan, profile),
        visits,
      };
    });
  }

  /** The electrician of the invented site clears the faults of repaired relays. */
  private wishes(day: number): Map<number, Wish> {
    const wishes = new Map<number, Wish>();
    for (const fault of this.o.site.simulation.faults) {
      if (!('repairedDay' in fault) || fault.repairedDay !== day) continue;
      const place = this.o.site.circuits.findIndex((circuit) => circuit.id === fault.circuit);
      wishes.set(place, { do: OrderKind.ClearFault, arg: 0, who: 'simulated electrician' });
    }
    return wishes;
  }

  async run(team: Team): Promise<LongRunResult> {
    const marks = this.marks();
    for (let i = 0; i + 1 < marks.length; i++) {
      const day = marks[i];
      const isLast = i + 2 === marks.length;
      const until = marks[i + 1] * DAY_MS + (isLast ? SETTLE_MS : 0);
      const renewals = day % RENEWAL_DAYS === 0 ? this.renewals(day) : [];
      this.standings = await team.span(renewals, this.wishes(day), until);
      this.check.check(
        this.standings.map((standing) => standing.openings),
        until,
      );
      this.violations.push(...this.standings.flatMap((standing) => standing.violations));
      this.violations.splice(TOLD_MAX);
      this.o.onSpan?.(marks[i + 1], team.heaps, this.standings);
    }
    return this.result(team.width);
  }

  private sum(of: (standing: Standing) => number): number {
    return this.standings.reduce((sum, standing) => sum + of(standing), 0);
  }

  private countsOf(kind: TestKind): TestCounts['brief'] {
    const of = (verdict: 'pass' | 'fail' | 'void') => this.sum((s) => s.account.tests[kind][verdict]);
    return { pass: of('pass'), fail: of('fail'), void: of('void') };
  }

  private result(workers: number): LongRunResult {
    const hash = createHash('sha256');
    this.standings.forEach(({ link, account }, i) => {
      hash.update(`${this.fleet.controllers[i].address} ${account.filed} ${link}\n`);
    });
    const filed = this.sum((s) => s.account.filed);
    const lost = this.sum((s) => s.account.missing + s.unfiled);
    return {
      workers,
      tests: {
        brief: this.countsOf(TestKind.Brief),
        full: this.countsOf(TestKind.Full),
        limited: this.countsOf(TestKind.Limited),
        commissioning: this.countsOf(TestKind.Commissioning),
      },
      violations: [...this.violations, ...this.check.violations].slice(0, TOLD_MAX),
      recordsWritten: filed + lost,
      recordsInLogbook: filed,
      recordsLost: lost,
      recordsDuplicated: this.sum((s) => s.account.doubled),
      recordsBroken: this.sum((s) => s.account.broken),
      finalHash: hash.digest('hex'),
    };
  }
}

/** Threads that a run of so many controller-days is worth. */
function threadsFor(controllerDays: number): number {
  return Math.min(availableParallelism(), Math.max(1, Math.floor(controllerDays / THREAD_DAYS)));
}

/** Runs the estate. The result depends only on site, seed and days, not on the number of threads. */
export async function longRun(o: LongRunOptions): Promise<LongRunResult> {
  const run = new LongRun(o);
  const most = o.workers ?? threadsFor(o.site.circuits.length * o.days);
  const team = await Team.start(run.fleet, most, o.countsHeap === true);
  try {
    return await run.run(team);
  } finally {
    await team.stop();
  }
}

/**
 * The controllers of an estate and what they are sent at the start, for callers that run them in another way.
 */
export function beginning(o: LongRunOptions): { fleet: FleetSpec; renewals: Renewal[] } {
  const run = new LongRun(o);
  return { fleet: run.fleet, renewals: run.renewals(0) };
}
