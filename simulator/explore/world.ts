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
  'relay mended',
  'aux breaks',
  'reset',
  'restore',
  'hold',
  'release',
  'clear',
  'test brief',
  'test full',
] as const;

export type Action = (typeof ACTIONS)[number];

export const enum RelayMode {
  Sound = 0,
  Welded = 1,
  Sticking = 2,
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
  /** An accepted hold lasts until then. */
  heldUntil: number;
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
    heldUntil: 0,
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

/** Settings and the plan's slots never change in a walk. */
export function shapesOf(w: World): WorldShapes {
  const { lampCount } = w.core.set;
  const world = shapeOf<World>(placesOf(w, ['core'], lampCount, w.core.slotCount));
  const core = shapeOf<Core>(placesOf(w.core, ['set', 'slots'], lampCount, w.core.slotCount));
  return { world, core, words: world.words + core.words };
}
