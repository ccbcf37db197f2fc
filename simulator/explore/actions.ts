// What can happen next in a world: time passes, someone does something, something breaks.
import { OrderKind, Phase, Reason, TestKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { checkDrive, checkExtension, checkTurn } from './demands';
import { BASE_UTC, type Theme, TICK, type WorldOptions } from './small';
import { followAnswer } from './truth';
import { drain, type Ground, nextTurn, reset, turn } from './turn';
import { type Action, bitOf, breach, RelayMode, type World } from './world';

const HOLD_SEC = 60;
const JUMP_MS = 60000;

const ORDERS: Partial<Record<Action, [OrderKind, number]>> = {
  restore: [OrderKind.Restore, 0],
  hold: [OrderKind.Hold, HOLD_SEC],
  release: [OrderKind.Release, 0],
  clear: [OrderKind.ClearFault, 0],
  'test brief': [OrderKind.Test, TestKind.Brief],
  'test full': [OrderKind.Test, TestKind.Full],
  'test limited': [OrderKind.Test, TestKind.Limited],
  'test commissioning': [OrderKind.Test, TestKind.Commissioning],
  extend: [OrderKind.Extend, 1],
  'extend far': [OrderKind.Extend, 5],
};

/** What an accepted order promises. `bit` is the test that was under way, 0 if it was not in the plan. */
function followOrder(w: World, what: OrderKind, arg: number, bit: number): void {
  if (what === OrderKind.Restore) {
    w.spent |= bit;
    w.orderedKind = TestKind.None;
    if (w.core.drive) breach(w, 'I5 an accepted restore left the coil held');
  } else if (what === OrderKind.Hold) {
    w.heldUntil = w.now + arg * 1000;
    if (w.drivenSince >= 0) w.spent |= bit;
  } else if (what === OrderKind.Release) w.heldUntil = 0;
  else if (what === OrderKind.Test) w.orderedKind = arg;
  else if (what === OrderKind.Extend) checkExtension(w, arg);
}

/** A signed order, carried out the way the shell does it: its record comes last. */
function order(g: Ground, w: World, what: OrderKind, arg: number): void {
  const { core } = w;
  const was = core.drive;
  const now = w.now - w.bootAt;
  const bit = core.phase === Phase.Fault ? 0 : bitOf(core.testPlan, core.test);
  const reason = g.s.takeOrder(core, what, arg, now);
  if (reason === Reason.None) followOrder(w, what, arg, bit);
  g.s.queueRecord(core, g.s.orderRecord(core, 'order', 1, what, arg, reason, 'x', now));
  checkDrive(w, was, g.options);
  drain(g, w);
}

/** The host answers with its time. */
function answer(g: Ground, w: World): void {
  const { core } = w;
  const now = w.now - w.bootAt;
  followAnswer(w, !core.clockSet);
  const was = core.drive;
  if (g.s.takeAnswer(core, BASE_UTC * 1000 + w.now + w.hostOff, now, now) === 0) return;
  checkDrive(w, was, g.options);
  drain(g, w);
}

/** What a person or an outside event does to the world itself. */
function happen(w: World, action: Action): void {
  if (action === 'mains off') w.mains = 0;
  else if (action === 'mains on') w.mains = 1;
  else if (action === 'key on') w.key = 1;
  else if (action === 'key off') w.key = 0;
  else if (action === 'stop on') w.stop = 1;
  else if (action === 'stop off') w.stop = 0;
  else if (action === 'person in') w.person = 1;
  else if (action === 'person out') {
    w.person = 0;
    w.movedAt = w.now;
  } else if (action === 'lamp dies') w.lamp = 0;
  else if (action === 'lamp lives') w.lamp = 1;
  else if (action === 'relay welds') w.relay = RelayMode.Welded;
  else if (action === 'relay sticks') w.relay = RelayMode.Sticking;
  else if (action === 'relay hangs') w.relay = RelayMode.Hanging;
  else if (action === 'guard fails') w.relay = RelayMode.Guarded;
  else if (action === 'relay mended') {
    w.relay = RelayMode.Sound;
    w.aux = 1;
  } else if (action === 'aux breaks') w.aux = 0;
}

/** Applies the action to the world. */
function apply(g: Ground, w: World, action: Action): void {
  const asked = ORDERS[action];
  if (asked) order(g, w, asked[0], asked[1]);
  else if (action === 'reset') reset(g, w);
  else if (action === 'sync' || action === 'answer') answer(g, w);
  else if (action === 'host clock jumps') {
    w.hostOff += JUMP_MS;
    answer(g, w);
  } else if (action === 'host clock right') {
    w.hostOff = 0;
    answer(g, w);
  } else happen(w, action);
}

/** Something that may happen next, and how many of the remaining disturbances it uses up. */
export interface Move {
  action: Action;
  cost: number;
}

/** An answer is news when it contradicts the clock: right away afterwards, and about when it may confirm. */
function isAnswerTelling(w: World): boolean {
  if (w.doubtSince < 0) return w.hostOff !== w.believedOff;
  const ageMs = w.now - w.doubtSince;
  return ageMs <= TICK || ageMs >= Limit.ClockConfirmMs - 2 * TICK;
}

/** Moves that end something already begun, or cost nothing. */
function freeActions(w: World, options: WorldOptions): Action[] {
  const found: Action[] = [];
  if (options.pauseSec > 0 && nextTurn(w) - w.now > options.pauseSec * 1000 + TICK) found.push('pause');
  if (!w.core.clockSet) found.push('sync');
  else if (isAnswerTelling(w)) found.push('answer');
  if (w.hostOff !== 0) found.push('host clock right');
  if (!w.mains) found.push('mains on');
  if (w.key) found.push('key off');
  if (w.stop) found.push('stop off');
  if (w.person) found.push('person out');
  if (w.relay !== RelayMode.Sound || !w.aux) found.push('relay mended');
  if (w.faultOpen) found.push('clear');
  if (w.heldUntil > w.now) found.push('release');
  return found;
}

const THEMES: Record<Exclude<Theme, 'all'>, (w: World) => Action[]> = {
  clock: () => ['reset', 'host clock jumps', 'test brief'],
  hold: () => ['hold', 'mains off'],
  lamp: (w) => [w.lamp ? 'lamp dies' : 'lamp lives'],
  order: () => ['test brief', 'test full', 'extend', 'restore'],
  relay: (w) =>
    w.relay === RelayMode.Sound
      ? ['relay welds', 'relay sticks', 'relay hangs', 'guard fails', 'reset']
      : ['reset'],
};

function disturbances(w: World, options: WorldOptions): Action[] {
  if (options.theme !== 'all') return THEMES[options.theme](w);
  const found: Action[] = ['reset', 'restore', 'hold', 'test brief', 'test full'];
  if (options.pauseSec > 0) found.push('test limited', 'test commissioning');
  if (options.pauseSec > 0 && w.mains) found.push('flicker');
  if (w.core.phase === Phase.Brief || options.pauseSec > 0) found.push('extend', 'extend far');
  if (w.mains) found.push('mains off');
  if (!w.key) found.push('key on');
  if (!w.stop) found.push('stop on');
  if (options.shared && !w.person) found.push('person in');
  found.push(w.lamp ? 'lamp dies' : 'lamp lives');
  if (w.relay === RelayMode.Sound) found.push('relay welds', 'relay sticks', 'relay hangs', 'guard fails');
  if (w.aux && !options.bare) found.push('aux breaks');
  return found;
}

/** Every move that may come next. */
export function movesOf(w: World, options: WorldOptions): Move[] {
  const moves: Move[] = [{ action: 'wait', cost: 0 }];
  for (const action of freeActions(w, options)) moves.push({ action, cost: 0 });
  if (w.left > 0) for (const action of disturbances(w, options)) moves.push({ action, cost: 1 });
  return moves;
}

/** Mains that dip often enough to make the supply unsteady, one dip per turn of the loop. */
function flicker(g: Ground, w: World): void {
  for (let i = 0; i < Limit.UnsteadyDips; i++) {
    w.now += TICK;
    w.mains = 0;
    turn(g, w);
    w.now += TICK;
    w.mains = 1;
    turn(g, w);
  }
}

/** Makes the move and runs the turn of the loop that follows. */
export function make(g: Ground, w: World, { action, cost }: Move): void {
  w.left -= cost;
  if (action === 'flicker') flicker(g, w);
  else if (action === 'pause') {
    w.now += g.options.pauseSec * 1000;
    checkTurn(w, g.options);
  } else {
    w.now = action === 'wait' ? nextTurn(w) : w.now + TICK;
    apply(g, w, action);
    turn(g, w);
  }
}
