// The small configuration to explore: two luminaires, times of a few seconds, one or two tests.
import { Fitted, TestKind } from '../../firmware/contract/codes';
import { lampsText, Mode } from '../../firmware/contract/lamps';
import { Limit } from '../../firmware/contract/limits';
import { slotsText } from '../../firmware/contract/plan';
import type { Core } from '../../firmware/core/state';
import type { Subject } from './subject';

export type Theme = 'all' | 'clock' | 'hold' | 'lamp' | 'order' | 'relay';

export interface WorldOptions {
  shared: boolean;
  /** The plan falls on another circuit's nights: nothing may ever open. */
  foreign: boolean;
  /** No auxiliary contact is fitted. */
  bare: boolean;
  /** What may go wrong: anything, or only related events. */
  theme: Theme;
  /** Interval of events between the turns in which the core has something to do, s; 0: none. */
  pauseSec: number;
  disturbances: number;
  /** Tests in the plan; with only one, the walk is short enough for two disturbances. */
  plan: PlanName;
}

export type PlanName =
  | ('brief' | 'full' | 'both' | 'limited' | 'commissioning' | 'attended' | 'long' | 'days')
  | ('hours' | 'hours alone');

/** What is special about a world: its circuit, or that only certain things go wrong, but more of them. */
export type WorldKind = 'plain' | 'shared' | 'foreign' | 'bare' | Exclude<Theme, 'all'>;

/** A small world with everything fitted and nothing special unless `kind` says so. */
export function world(plan: PlanName, disturbances: number, kind: WorldKind, pauseSec: number): WorldOptions {
  const is = (name: WorldKind) => kind === name;
  return {
    plan,
    disturbances,
    shared: is('shared'),
    foreign: is('foreign'),
    bare: is('bare'),
    theme: is('plain') || is('shared') || is('foreign') || is('bare') ? 'all' : (kind as Theme),
    pauseSec,
  };
}

export interface PlanSlot {
  test: number;
  kind: TestKind;
  /** Seconds since the start. */
  from: number;
  to: number;
}

export interface PlanTimes {
  slots: PlanSlot[];
  until: number;
  /** Window of the fallback schedule, which applies after the plan. */
  fallback?: { from: number; to: number };
  /** The night is shared with neighbours, and these hours are the circuit's own. */
  hours?: { from: number; to: number };
  /** Nothing is explored beyond this. */
  horizon: number;
}

/** Length of a test of this kind, s. */
export function testSecOf(kind: TestKind): number {
  if (kind === TestKind.Brief) return SMALL.briefSec;
  if (kind === TestKind.Limited) return SMALL.limitedSec;
  return kind === TestKind.Commissioning ? SMALL.commissionSec : SMALL.fullSec;
}

/** Times of the small configuration, s. The controller's compiled-in times stay as they are. */
export const SMALL = {
  briefSec: 7,
  fullSec: 9,
  limitedSec: 6,
  commissionSec: 12,
  firstChargeSec: 4,
  /** Longest function test with its walk-round. */
  briefCapSec: 9,
  rechargeSec: 6,
  briefRechargeSec: 2,
  emptySec: 1,
};
export const LAMP_MILLIAMPS = 200;
const LAMP = {
  mode: Mode.NonMaintained,
  batteryMilliamps: LAMP_MILLIAMPS,
  mainsMilliamps: 0,
  ratedSec: Limit.RatedSecMin,
};
/** UTC second at the start; the circuit's own night begins at noon. */
export const BASE_UTC = 1767700800;
export const TICK = Limit.LoopMs;

const FIRST = { from: 10, to: 104 };
/** They bind where a slot or the fallback window is longer, at both ends. */
const HOURS = { from: 20, to: 120 };
const LONGER = { from: 10, to: 180 };
const SECOND = { from: 115, to: 192 };

function single(kind: TestKind): PlanTimes {
  return { slots: [{ test: 1, kind, ...FIRST }], until: 107, horizon: 110 };
}

const PLANS: Record<PlanName, PlanTimes> = {
  brief: single(TestKind.Brief),
  full: single(TestKind.Full),
  // A limited test, then the plan runs out: it must not have counted as the full test.
  limited: { ...single(TestKind.Limited), fallback: { from: 115, to: 215 }, horizon: 218 },
  commissioning: single(TestKind.Commissioning),
  // A window without a planned test: only orders may start one in it.
  attended: single(TestKind.None),
  // Long enough for an unsteady supply to be trusted again, and for a clock to be believed.
  long: { slots: [{ test: 1, kind: TestKind.Brief, from: 10, to: 800 }], until: 803, horizon: 806 },
  // Long enough for a reminder of a hold.
  days: { ...single(TestKind.Brief), horizon: 8000 },
  hours: { slots: [{ test: 1, kind: TestKind.Brief, ...LONGER }], until: 183, hours: HOURS, horizon: 186 },
  'hours alone': { slots: [], until: 5, fallback: LONGER, hours: HOURS, horizon: 186 },
  both: {
    slots: [
      { test: 1, kind: TestKind.Brief, ...FIRST },
      { test: 2, kind: TestKind.Full, ...SECOND },
    ],
    until: 195,
    horizon: 198,
  },
};

/** Windows of a plan, s since the start of the exploration. */
export function planTimes(plan: PlanName): PlanTimes {
  return PLANS[plan];
}

function settingsMessage(options: WorldOptions) {
  const { fallback, hours } = planTimes(options.plan);
  const own = Math.floor((BASE_UTC - 43200) / 86400) % 2;
  const isOthers = options.foreign || hours !== undefined;
  return {
    v: 1,
    revision: 1,
    briefSec: 100,
    rechargeSec: 3600,
    briefRechargeSec: 0,
    earlyPercent: 50,
    floorPercent: 70,
    shared: options.shared ? 1 : 0,
    emptySec: SMALL.emptySec,
    fitted: Fitted.Occupancy | Fitted.Stop | Fitted.Key | (options.bare ? 0 : Fitted.Aux),
    cycle: 2,
    residue: isOthers ? 1 - own : own,
    noon: 43200,
    ...(hours && {
      ...{ sharedCycle: 2, sharedResidue: own, hoursFrom: 43200 + hours.from },
      hoursSec: hours.to - hours.from,
    }),
    fallbackFrom: 43200 + (fallback ? fallback.from : 0),
    fallbackSec: fallback ? fallback.to - fallback.from : 0,
    briefDays: 28,
    fullDays: 365,
    lamps: lampsText([LAMP, LAMP]),
  };
}

/** Commissioned times are replaced by short ones: only their length is small, every rule is the same. */
function shorten(core: Core): void {
  core.set.briefSec = SMALL.briefSec;
  core.set.rechargeSec = SMALL.rechargeSec;
  core.set.briefRechargeSec = SMALL.briefRechargeSec;
  core.set.ratedSec = SMALL.fullSec;
  core.set.firstChargeSec = SMALL.firstChargeSec;
  core.set.commissionSec = SMALL.commissionSec;
  core.set.briefCapSec = SMALL.briefCapSec;
  for (let i = 0; i < core.set.lampCount; i++) core.set.lamps[i * 4 + 3] = SMALL.fullSec;
}

function planMessage(times: PlanTimes) {
  const slots = times.slots.map(({ test, kind, from, to }) => ({
    ...{ test, kind },
    ...{ start: BASE_UTC + from, end: BASE_UTC + to },
  }));
  return { v: 1, revision: 1, until: BASE_UTC + times.until, slots: slotsText(slots) };
}

/** A commissioned controller with its plan, before the journal is read. */
export function newBoard(s: Subject, options: WorldOptions): Core {
  const core = s.newCore(1);
  if (!s.takeSettings(core.set, settingsMessage(options))) throw new Error('settings refused');
  shorten(core);
  if (!s.takePlan(core, planMessage(planTimes(options.plan)), 0, 0)) throw new Error('plan refused');
  return core;
}

/** The controller's start: first what the journal says, then what the last run left open. */
export function boot(s: Subject, core: Core, journal: string[]): void {
  const recovery = s.newRecovery();
  for (const text of journal) s.recoverRecord(core, recovery, text);
  core.journalReady = 1;
  s.closeLostOpening(core, recovery, 0);
  s.resumeHold(core, recovery, 0);
  core.reason = recovery.fault;
  s.start(core, 0, 0);
}
