// One world of the exploration: the core, what surrounds it, and the truth that its decisions are held
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
  /** Falls shut only when its coil has been moved once more. */
  Hanging = 3,
  Hung = 4,
}

/** Every number of it is saved when a world branches. */
export interface World {
  core: Core;
  /** ms since the start of the exploration; the core's own clock restarts with every boot. */
  now: number;
  bootAt: number;
  /** Disturbances that may still come. */
  left: number;
  mains: number;
  key: number;
  stop: number;
  person: number;
  /** The first luminaire's lamp burns; the second is always sound. */
  lamp: number;
  relay: RelayMode;
  contactOpen: number;
  /** The auxiliary contact tells the truth. */
  aux: number;
  times: PlanTimes;
  /** Journal as far as a restart remembers it. */
  journal: string[];
  intentOpen: number;
  faultOpen: number;
  satisfied: number;
  /** Tests that the journal tells to be overdue, bit mask. */
  toldOverdue: number;
  // The truth, kept independently of the core.
  suppliedSince: number;
  /** Since when the supply has been gone, -1 while it is there. */
  lostSince: number;
  owedMs: number;
  /** Since when the contact has stood open by itself, and since when it alone keeps the supply away. */
  straySince: number;
  missingSince: number;
  drivenSince: number;
  drivenKind: TestKind;
  /** How long the coil may be held, walk-round included, ms. */
  drivenLimitMs: number;
  /** Kind that an accepted order asked for, until it opens or is over. */
  orderedKind: TestKind;
  /** An accepted hold lasts until then; s of it that the journal tells of. */
  heldUntil: number;
  heldDurableSec: number;
  /** Last word on a hold that goes on, -1 while none does. */
  remindedAt: number;
  /** The journal tells of an outage that goes on. */
  outageTold: number;
  /** Since when mains have been there, and whether that has settled. */
  mainsOnSince: number;
  mainsGood: number;
  /** Dips of mains in a row, the last of them, and until when it counts as unsteady. */
  dips: number;
  dipAt: number;
  unsteadyUntil: number;
  /** How far the host's clock is off, ms; how far the controller may rightly believe, and what contradicts. */
  hostOff: number;
  believedOff: number;
  doubtOff: number;
  doubtSince: number;
  jumps: number;
  /** A full test was completed; the fallback schedule has had its turn of tonight. */
  fullDone: number;
  fallbackDone: number;
  /** Last movement in the area. */
  movedAt: number;
  /** Since when everything has allowed a test that is due; -1 while something does not. */
  dueSince: number;
  mainsOffSince: number;
  /** Since when the contact has been shut although the coil is held. */
  shutSince: number;
  /** Tests of the plan that somebody ordered off tonight, bit mask. */
  spent: number;
  /** Those of them that the journal tells of. */
  spentDurable: number;
  darkSince: number;
  longDark: number;
  darkAtEnd: number;
  everDark: number;
  /** Entry of the trail that led here. */
  trail: number;
  // What befalls the writes of the present move (store.ts), and how many there were.
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
    fullDone: 0,
    fallbackDone: 0,
    movedAt: 0,
    dueSince: -1,
    mainsOffSince: -1,
    shutSince: -1,
    spent: 0,
    spentDurable: 0,
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

/** Settings and the plan's slots never change in a walk; the points of curves are evidence and decide nothing. */
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
