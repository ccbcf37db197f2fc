// One world of the exploration: the core, what surrounds it, and the truth that its decisions are checked
// against. Everything that can happen is an action; chance is a choice.
import { TestKind } from '../../firmware/contract/codes';
import type { Core } from '../../firmware/core/state';
import { placesOf, type Shape, shapeOf } from './shape';
import { type PlanTimes, SMALL } from './small';

/** Something outside the core that may happen. */
export const ACTIONS = [
  'wait',
  'sync',
  'mains off',
  'mains on',
  'key on',
  'key off',
  'stop on',
  'stop off',
  'person in',
  'person out',
  'lamp dies',
  'lamp lives',
  'relay welds',
  'relay sticks',
  'relay hangs',
  'guard fails',
  'relay mended',
  'aux breaks',
  'reset',
  'restore',
  'hold',
  'release',
  'clear',
  'test brief',
  'test full',
  'test limited',
  'test commissioning',
  'extend',
  'extend far',
  'flicker',
  'host clock jumps',
  'host clock right',
  'answer',
  'pause',
] as const;

export type Action = (typeof ACTIONS)[number];

export const enum RelayMode {
  Sound = 0,
  Welded = 1,
  Sticking = 2,
  /** Closes only once its coil has been driven and released again. */
  Hanging = 3,
  Hung = 4,
  /** A guard on trial does not release the coil: the contact closes once all of them do. */
  Guarded = 5,
}

/** Every number in it is saved when a world branches. */
export interface World {
  core: Core;
  /** ms since the start of the exploration; the core's own clock restarts with every boot. */
  now: number;
  bootAt: number;
  /** Disturbances that may still happen. */
  left: number;
  mains: number;
  key: number;
  stop: number;
  person: number;
  /** The first luminaire's lamp works; the second luminaire is always sound. */
  lamp: number;
  relay: RelayMode;
  contactOpen: number;
  /** The auxiliary contact reports the true position. */
  aux: number;
  times: PlanTimes;
  /** What a restart will remember of the journal. */
  journal: string[];
  intentOpen: number;
  faultOpen: number;
  satisfied: number;
  /** Tests that the journal records as overdue, bit mask. */
  toldOverdue: number;
  // The truth, kept independently of the core.
  suppliedSince: number;
  /** When the supply was lost, -1 while it is present. */
  lostSince: number;
  owedMs: number;
  /**
   * Since when the contact has been open without being driven, and since when it is all that keeps the supply
   * off.
   */
  straySince: number;
  missingSince: number;
  drivenSince: number;
  drivenKind: TestKind;
  /** How long the coil may be driven, walk-round included, ms. */
  drivenLimitMs: number;
  /** Kind requested by an accepted order, until the test opens or has ended. */
  orderedKind: TestKind;
  /** When an accepted hold ends; its length according to the journal, s. */
  heldUntil: number;
  heldDurableSec: number;
  /** Last report or reminder of the hold in force, -1 while there is none. */
  remindedAt: number;
  /** The journal records an outage as still in progress. */
  outageTold: number;
  /** Since when mains has been present, and whether that has settled. */
  mainsOnSince: number;
  mainsGood: number;
  /** Consecutive dips of mains, the time of the last one, and until when mains counts as unsteady. */
  dips: number;
  dipAt: number;
  unsteadyUntil: number;
  /**
   * How far the host's clock is off, ms; the offset the controller may rightly believe, and a reported one
   * that contradicts it.
   */
  hostOff: number;
  believedOff: number;
  doubtOff: number;
  doubtSince: number;
  jumps: number;
  /** A test of the kind the fallback schedule wants was completed; it has already tested tonight. */
  wantedDone: number;
  fallbackDone: number;
  /** Last movement in the area. */
  movedAt: number;
  /** Since when nothing has prevented a test that is due; -1 while something does. */
  dueSince: number;
  mainsOffSince: number;
  /** Since when the contact has been closed although the coil is driven. */
  shutSince: number;
  /** Planned tests that an order called off tonight, bit mask. */
  spent: number;
  /** Those of them that the journal records. */
  spentDurable: number;
  /** The supply was missing when a guard's time was up: a tester fault is owed. */
  guardOwed: number;
  darkSince: number;
  longDark: number;
  darkAtEnd: number;
  everDark: number;
  /** Entry of the path that led here. */
  trail: number;
  // What happens to the writes of the current move (store.ts), and how many there were.
  cutAfter: number;
  failAt: number;
  writes: number;
  /** The first claim that broke. */
  broken: string;
}

/** Power on, clock not yet set, nothing written yet. */
export function newWorld(core: Core, times: PlanTimes, disturbances: number): World {
  return {
    core,
    now: 0,
    bootAt: 0,
    left: disturbances,
    mains: 1,
    key: 0,
    stop: 0,
    person: 0,
    lamp: 1,
    relay: RelayMode.Sound,
    contactOpen: 0,
    aux: 1,
    times,
    journal: [],
    intentOpen: 0,
    faultOpen: 0,
    satisfied: 0,
    toldOverdue: 0,
    suppliedSince: 0,
    lostSince: -1,
    owedMs: SMALL.rechargeSec * 1000,
    straySince: -1,
    missingSince: -1,
    drivenSince: -1,
    drivenKind: TestKind.None,
    drivenLimitMs: 0,
    orderedKind: TestKind.None,
    heldUntil: 0,
    heldDurableSec: 0,
    remindedAt: -1,
    outageTold: 0,
    mainsOnSince: -1,
    mainsGood: 0,
    dips: 0,
    dipAt: 0,
    unsteadyUntil: 0,
    hostOff: 0,
    believedOff: 0,
    doubtOff: 0,
    doubtSince: -1,
    jumps: 0,
    wantedDone: 0,
    fallbackDone: 0,
    movedAt: 0,
    dueSince: -1,
    mainsOffSince: -1,
    shutSince: -1,
    spent: 0,
    spentDurable: 0,
    guardOwed: 0,
    darkSince: -1,
    longDark: 0,
    darkAtEnd: 0,
    everDark: 0,
    trail: -1,
    cutAfter: -1,
    failAt: -1,
    writes: 0,
    broken: '',
  };
}

export interface WorldShapes {
  world: Shape<World>;
  core: Shape<Core>;
  words: number;
}

/**
 * Settings and the plan's slots never change in a walk; the points of curves are evidence and decide nothing.
 */
export const NOT_SAVED = ['set', 'slots', 'curve', 'chargeCurve'];

export function shapesOf(w: World): WorldShapes {
  const { lampCount } = w.core.set;
  const world = shapeOf<World>(placesOf(w, ['core'], lampCount, w.core.slotCount));
  const core = shapeOf<Core>(placesOf(w.core, NOT_SAVED, lampCount, w.core.slotCount));
  return { world, core, words: world.words + core.words };
}

/** Keeps the first claim that breaks. */
export function breach(w: World, what: string): void {
  if (w.broken === '') w.broken = what;
}

/** The plan's tests are 1 and 2, which are bits already. */
export const FALLBACK_BIT = 4;

/** Test of the plan, or of tonight's fallback schedule, as a bit; 0 for one by order. */
export function bitOf(plan: number, test: number): number {
  if (plan === 1) return test;
  return test > 0 ? FALLBACK_BIT : 0;
}
