// One turn of the controller's loop in a small world, and what may cut it short.
import { brokenClaims } from '../../firmware/core/claims';
import { isIntentDue } from '../../firmware/core/discharge';
import type { Core } from '../../firmware/core/state';
import { checkDrive, checkGuard, checkTurn } from './demands';
import { takeRecord } from './log';
import { boot, newBoard, planTimes, TICK, type WorldOptions } from './small';
import type { Subject } from './subject';
import { fillInputs, followDark, followReset, followTruth, isSupplied, settleContact } from './truth';
import { breach, newWorld, RelayMode, shapesOf, type World, type WorldShapes } from './world';

/** What all worlds of a walk share. */
export interface Ground {
  s: Subject;
  options: WorldOptions;
  shapes: WorldShapes;
  /** The core before its journal is read. */
  blank: Int32Array;
}

/** The first world, with its start record written. */
export function begin(s: Subject, options: WorldOptions): { g: Ground; w: World } {
  const core = newBoard(s, options);
  const w = newWorld(core, planTimes(options.plan), options.disturbances);
  const shapes = shapesOf(w);
  const blank = new Int32Array(shapes.core.words);
  shapes.core.save(core, blank, 0);
  boot(s, core, []);
  const g = { s, options, shapes, blank };
  drain(g, w);
  return { g, w };
}

/** Writes the next waiting record. @returns whether it is durable */
function writeNext(w: World): boolean {
  const { core } = w;
  if (w.writes === w.failAt) {
    w.failAt = -1;
    return false;
  }
  w.writes++;
  takeRecord(w, core.out[0]);
  core.outCount--;
  for (let i = 0; i < core.outCount; i++) core.out[i] = core.out[i + 1];
  return true;
}

/** Writes the waiting records one by one, as the shell does. Power may be lost at every boundary. */
export function drain(g: Ground, w: World): void {
  const { core } = w;
  if (core.outCount === 0) return;
  const isIntent = isIntentDue(core);
  let ok = true;
  while (ok && core.outCount > 0) {
    if (w.writes === w.cutAfter) {
      reset(g, w);
      return;
    }
    ok = writeNext(w);
  }
  if (w.writes === w.cutAfter) {
    reset(g, w);
    return;
  }
  if (!isIntent) return;
  // One that is not durable stays at the head, and is written once the flash takes it.
  g.s.intentStored(core, ok ? 1 : 0, w.now - w.bootAt);
  if (core.drive) checkDrive(w, 0, g.options);
  drain(g, w);
}

/** The board restarts: RAM is lost, the coil drops; the journal remains. */
export function reset(g: Ground, w: World): void {
  w.cutAfter = -1;
  g.shapes.core.load(w.core, g.blank, 0);
  boot(g.s, w.core, w.journal);
  followReset(w);
  if (w.core.drive) breach(w, 'I3 the coil is driven at the start');
  drain(g, w);
}

/** One turn of the loop at `w.now`. */
export function turn(g: Ground, w: World): void {
  settleContact(w);
  followTruth(w);
  fillInputs(w);
  followDark(w);
  const core: Core = w.core;
  const was = core.drive;
  const tried = core.ending;
  const waited = core.outCount > 0;
  core.journalReady = waited ? 0 : 1;
  g.s.step(core, w.now - w.bootAt);
  checkDrive(w, was, g.options);
  checkGuard(w, tried);
  // As in the shell: records made in this turn wait for the next one, except an intent.
  if (waited || isIntentDue(core)) drain(g, w);
  checkTurn(w, g.options);
  for (const claim of brokenClaims(core, w.now - w.bootAt)) breach(w, claim);
}

/** When the next turn in which something happens is due. */
export function nextTurn(w: World): number {
  const unsettled = w.contactOpen !== w.core.drive && w.relay === RelayMode.Sound;
  const waiting = w.core.outCount > 0 || unsettled || w.core.in.supplyB !== (isSupplied(w) ? 1 : 0);
  if (waiting) return w.now + TICK;
  const due = Math.ceil(Math.max(w.core.wakeAt, w.now - w.bootAt + 1) / TICK) * TICK + w.bootAt;
  return Math.max(w.now + TICK, due);
}
