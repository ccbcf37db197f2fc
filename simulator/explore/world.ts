// One world of the exploration: the core, what surrounds it, and the truth that its decisions are held
// against. Everything that can happen is an action; chance is a choice.
import { TestKind } from '../../firmware/contract/codes';
import type { Core } from '../../firmware/core/state';
import { bootCore, type PlanTimes, planTimes, SMALL, type WorldOptions } from './small';
import type { Subject } from './subject';

/** Something outside the core that may happen. `begin` costs one of the disturbances a path may hold. */
export type Action =
  | 'wait'
  | 'sync'
  | 'mains off'
  | 'mains on'
  | 'key on'
  | 'key off'
  | 'stop on'
  | 'stop off'
  | 'person in'
  | 'person out'
  | 'lamp dies'
  | 'lamp lives'
  | 'relay welds'
  | 'relay sticks'
  | 'relay mended'
  | 'aux breaks'
  | 'reset'
  | 'restore'
  | 'hold'
  | 'release'
  | 'clear'
  | 'test brief'
  | 'test full'
  | 'write fails'
  | 'reset before write'
  | 'reset after write';

export const enum RelayMode {
  Sound = 0,
  Welded = 1,
  Sticking = 2,
}

export interface World {
  core: Core;
  /** ms since the start of the exploration; the core's own clock restarts with every boot. */
  now: number;
  bootAt: number;
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
  /** Fate of the next journal write. */
  fate: Action | '';
  /** Journal as far as a restart remembers it. */
  journal: string[];
  intentOpen: number;
  faultOpen: number;
  satisfied: number;
  results: number;
  openings: number;
  // The truth, kept independently of the core.
  suppliedSince: number;
  /** Since when the supply has been gone, -1 while it is there. */
  lostSince: number;
  owedMs: number;
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
  parent: World | null;
  action: Action;
  /** Phases and ends seen on this path are reported by the walk. */
  broken: string;
}

/** Power on, clock not yet set, nothing written yet. */
export function newWorld(s: Subject, options: WorldOptions): World {
  return {
    core: bootCore(s, options, []),
    now: 0,
    bootAt: 0,
    left: options.disturbances,
    mains: 1,
    key: 0,
    stop: 0,
    person: 0,
    lamp: 1,
    relay: RelayMode.Sound,
    contactOpen: 0,
    aux: 1,
    times: planTimes(options.plan),
    fate: '',
    journal: [],
    intentOpen: 0,
    faultOpen: 0,
    satisfied: 0,
    results: 0,
    openings: 0,
    suppliedSince: 0,
    lostSince: -1,
    owedMs: SMALL.rechargeSec * 1000,
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
    parent: null,
    action: 'wait',
    broken: '',
  };
}

function cloneCore(core: Core): Core {
  return {
    ...core,
    in: { ...core.in, lamp: core.in.lamp.slice() },
    out: core.out.slice(0, core.outCount),
    raw: core.raw.slice(),
    level: core.level.slice(),
    rawAt: core.rawAt.slice(),
    slotState: core.slotState.slice(),
    verdict: core.verdict.slice(),
    why: core.why.slice(),
    finding: core.finding.slice(),
    marks: core.marks.slice(),
    quick: core.quick.slice(),
    litSec: core.litSec.slice(),
    zero: core.zero.slice(),
    sum: core.sum.slice(),
    ma: core.ma.slice(),
    at5: core.at5.slice(),
    at60: core.at60.slice(),
    dipAt: core.dipAt.slice(),
    litAt: core.litAt.slice(),
    // Settings, slots and the stored curve decide nothing that differs between branches.
  };
}

export function clone(w: World, action: Action): World {
  return { ...w, core: cloneCore(w.core), parent: w, action };
}
