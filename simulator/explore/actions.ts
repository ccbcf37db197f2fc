// What can happen next in a world: time passes, somebody does something, something breaks.
import { OrderKind, Phase, Reason, TestKind } from '../../firmware/contract/codes';
import { BASE_UTC, TICK, type WorldOptions } from './small';
import { breach, checkDrive } from './truth';
import { drain, type Ground, nextTurn, reset, turn } from './turn';
import { type Action, RelayMode, type World } from './world';

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
function apply(g: Ground, w: World, action: Action): void {
  const order = ORDERS[action];
  if (order) {
    const was = w.core.drive;
    const bit = w.core.testPlan === 1 ? w.core.test : 0;
    const accepted = g.s.takeOrder(w.core, order[0], order[1], w.now - w.bootAt) === Reason.None;
    if (accepted) followOrder(w, action, bit);
    checkDrive(w, was, g.options);
    drain(g, w);
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
  else if (action === 'reset') reset(g, w);
  else if (action === 'sync')
    g.s.takeTime(w.core, BASE_UTC * 1000 + w.now, w.now - w.bootAt, w.now - w.bootAt);
}

/** Something that may happen next, with what it takes from the disturbances left. */
export interface Move {
  action: Action;
  cost: number;
}

/** Moves that end something begun, or are free for the asking. */
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
  const found: Action[] = ['reset', 'restore', 'hold', 'test brief', 'test full'];
  if (w.mains) found.push('mains off');
  if (!w.key) found.push('key on');
  if (!w.stop) found.push('stop on');
  if (options.shared && !w.person) found.push('person in');
  found.push(w.lamp ? 'lamp dies' : 'lamp lives');
  if (w.relay === RelayMode.Sound) found.push('relay welds', 'relay sticks');
  if (w.aux && !options.bare) found.push('aux breaks');
  return found;
}

/** Every move that may come next. */
export function movesOf(w: World, options: WorldOptions): Move[] {
  const moves: Move[] = [{ action: 'wait', cost: 0 }];
  for (const action of freeActions(w)) moves.push({ action, cost: 0 });
  if (w.left > 0) for (const action of disturbances(w, options)) moves.push({ action, cost: 1 });
  return moves;
}

/** Makes the move and the turn of the loop that follows it. */
export function make(g: Ground, w: World, { action, cost }: Move): void {
  w.left -= cost;
  if (action === 'wait') w.now = nextTurn(w);
  else {
    w.now += TICK;
    apply(g, w, action);
  }
  turn(g, w);
}
