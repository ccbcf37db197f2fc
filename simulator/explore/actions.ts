// What can happen next in a world: time passes, somebody does something, something breaks.
import { OrderKind, Phase, Reason, TestKind } from '../../firmware/contract/codes';
import { brokenClaims } from '../../firmware/core/claims';
import { Opening } from '../../firmware/core/state';
import { BASE_UTC, bootCore, SMALL, TICK, type WorldOptions } from './small';
import type { Subject } from './subject';
import {
  breach,
  checkDrive,
  fillInputs,
  followDark,
  followTruth,
  isSupplied,
  settleContact,
  takeRecord,
} from './truth';
import { type Action, clone, newWorld, RelayMode, type World } from './world';

/** Writes the waiting records; `fate` may tear the power away before or after, or make the write fail. */
function drain(s: Subject, w: World, options: WorldOptions): void {
  const core = w.core;
  if (core.outCount === 0) return;
  const isIntent = core.phase === Phase.Opening && core.stage === Opening.IntentWritten;
  const fate = w.fate;
  w.fate = '';
  if (fate === 'reset before write') {
    reset(s, w, options);
    return;
  }
  const ok = fate !== 'write fails';
  if (ok) for (let i = 0; i < core.outCount; i++) takeRecord(w, core.out[i]);
  // A failed write of anything but an intent is tried again by the shell; here the next turn does.
  if (ok || isIntent) core.outCount = 0;
  if (fate === 'reset after write') {
    reset(s, w, options);
    return;
  }
  if (isIntent) {
    s.intentStored(core, ok ? 1 : 0, w.now - w.bootAt);
    if (core.drive) checkDrive(w, 0, options);
    drain(s, w, options);
  }
}

/** The board starts again: RAM is gone, the coil with it; the journal is what is left. */
function reset(s: Subject, w: World, options: WorldOptions): void {
  w.core = bootCore(s, options, w.journal);
  w.bootAt = w.now;
  w.drivenSince = -1;
  if (w.core.drive) breach(w, 'I3 the coil is driven at the start');
  // Nobody knows what happened to the batteries meanwhile, so the truth owes a full recharge as well.
  w.suppliedSince = isSupplied(w) ? w.now : -1;
  w.lostSince = isSupplied(w) ? -1 : w.now;
  w.owedMs = SMALL.rechargeSec * 1000;
  w.fate = '';
  // The model's journal keeps no holds.
  w.heldUntil = 0;
  w.spent = w.spentDurable;
  drain(s, w, options);
  if (w.intentOpen) breach(w, 'I4 an opening cut short by a reset has no result');
}

/** One turn of the loop at `w.now`. */
function turn(s: Subject, w: World, options: WorldOptions): void {
  settleContact(w);
  followTruth(w);
  fillInputs(w);
  followDark(w);
  const was = w.core.drive;
  w.core.journalReady = w.core.outCount === 0 ? 1 : 0;
  s.step(w.core, w.now - w.bootAt);
  checkDrive(w, was, options);
  drain(s, w, options);
  for (const claim of brokenClaims(w.core, w.now - w.bootAt)) breach(w, claim);
}

function nextTurn(w: World): number {
  const unsettled = w.contactOpen !== w.core.drive && w.relay === RelayMode.Sound;
  const waiting = w.core.outCount > 0 || unsettled || w.core.in.supplyB !== (isSupplied(w) ? 1 : 0);
  if (waiting) return w.now + TICK;
  const due = Math.ceil(Math.max(w.core.wakeAt, w.now - w.bootAt + 1) / TICK) * TICK + w.bootAt;
  return Math.max(w.now + TICK, due);
}

const ORDERS: Partial<Record<Action, [OrderKind, number]>> = {
  restore: [OrderKind.Restore, 0],
  hold: [OrderKind.Hold, 60],
  release: [OrderKind.Release, 0],
  clear: [OrderKind.ClearFault, 0],
  'test brief': [OrderKind.Test, TestKind.Brief],
  'test full': [OrderKind.Test, TestKind.Full],
};

/** What an accepted order promises. */
function followOrder(w: World, action: Action, bit: number): void {
  if (action === 'restore') {
    w.spent |= bit;
    if (w.core.drive) breach(w, 'I5 an accepted restore left the coil held');
  } else if (action === 'hold') {
    w.heldUntil = w.now + 60000;
    w.spent |= w.core.drive || bit === 0 ? 0 : w.drivenSince >= 0 ? bit : 0;
  } else if (action === 'release') w.heldUntil = 0;
}

/** Changes the world as the action says. */
function apply(s: Subject, w: World, action: Action, options: WorldOptions): void {
  const order = ORDERS[action];
  if (order) {
    const was = w.core.drive;
    const bit = w.core.testPlan === 1 ? w.core.test : 0;
    const accepted = s.takeOrder(w.core, order[0], order[1], w.now - w.bootAt) === Reason.None;
    if (accepted) followOrder(w, action, bit);
    checkDrive(w, was, options);
    drain(s, w, options);
  } else if (action === 'mains off') w.mains = 0;
  else if (action === 'mains on') w.mains = 1;
  else if (action === 'key on') w.key = 1;
  else if (action === 'key off') w.key = 0;
  else if (action === 'stop on') w.stop = 1;
  else if (action === 'stop off') w.stop = 0;
  else if (action === 'person in') w.person = 1;
  else if (action === 'person out') w.person = 0;
  else if (action === 'lamp dies') w.lamp = 0;
  else if (action === 'lamp lives') w.lamp = 1;
  else if (action === 'relay welds') w.relay = RelayMode.Welded;
  else if (action === 'relay sticks') w.relay = RelayMode.Sticking;
  else if (action === 'relay mended') {
    w.relay = RelayMode.Sound;
    w.aux = 1;
  } else if (action === 'aux breaks') w.aux = 0;
  else if (action === 'reset') reset(s, w, options);
  else if (action === 'sync') s.takeTime(w.core, BASE_UTC * 1000 + w.now, w.now - w.bootAt, w.now - w.bootAt);
  else if (action !== 'wait') w.fate = action;
}

/** Actions that end something begun, or are free for the asking: they cost no disturbance. */
function freeActions(w: World): Action[] {
  const found: Action[] = [];
  if (!w.core.clockSet) found.push('sync');
  if (!w.mains) found.push('mains on');
  if (w.key) found.push('key off');
  if (w.stop) found.push('stop off');
  if (w.person) found.push('person out');
  if (w.relay !== RelayMode.Sound || !w.aux) found.push('relay mended');
  if (w.faultOpen) found.push('clear');
  if (w.core.phase === Phase.Held) found.push('release');
  return found;
}

function disturbances(w: World, options: WorldOptions): Action[] {
  if (w.left === 0) return [];
  const found: Action[] = ['reset', 'restore', 'hold', 'test brief', 'test full'];
  if (w.mains) found.push('mains off');
  if (!w.key) found.push('key on');
  if (!w.stop) found.push('stop on');
  if (options.shared && !w.person) found.push('person in');
  found.push(w.lamp ? 'lamp dies' : 'lamp lives');
  if (w.relay === RelayMode.Sound) found.push('relay welds', 'relay sticks');
  if (w.aux && !options.bare) found.push('aux breaks');
  if (w.fate === '') found.push('write fails', 'reset before write', 'reset after write');
  return found;
}

/** Every world that may come next; each is one turn of the loop later. */
export function successors(s: Subject, w: World, options: WorldOptions): World[] {
  const found: World[] = [];
  const free = freeActions(w);
  const go = (action: Action, cost: number, at: number) => {
    const next = clone(w, action);
    next.left -= cost;
    if (at > next.now && action !== 'wait') {
      // The turn that was due meanwhile has its own successor by waiting.
      next.now = at;
    }
    apply(s, next, action, options);
    if (action === 'wait') next.now = at;
    turn(s, next, options);
    found.push(next);
  };
  go('wait', 0, nextTurn(w));
  for (const action of free) go(action, 0, w.now + TICK);
  for (const action of disturbances(w, options)) go(action, 1, w.now + TICK);
  return found;
}

/** The first world: power on, its start record written. */
export function firstWorld(s: Subject, options: WorldOptions): World {
  const world = newWorld(s, options);
  drain(s, world, options);
  return world;
}
