// When a luminaire was short of its rated duration: replayed on the same plant from its faults and its times
// without supply. In closed form from one change to the next.

import type { AilmentFault } from '../people/repairs';
import { firstWhere } from '../people/search';
import { chargeAt, emptyAt, fullMsAt } from '../plant/battery';
import { calendarShare, cycleShare } from '../plant/chemistry';
import {
  isLitOnBattery,
  type Luminaire,
  type LuminaireSpec,
  newLuminaire,
  plantLuminaireFault,
  setSupplied,
} from '../plant/luminaire';
import type { Span } from '../plant/spans';

/** A spell in which the luminaire would not last its rated duration if the mains failed. */
export interface Short extends Span {
  /** It would not last even after a full recharge: something is broken. Otherwise it has been discharged. */
  isBroken: boolean;
}

export interface Life {
  /** In order; spells that touch differ in their reason. */
  short: Short[];
  /** How often the battery was run down to its cut-off. */
  flat: number;
  /** Share of its batteries' life that discharges used up, rather than age. */
  spent: number;
}

/** Charge that a battery must still hold for what follows to count as running it down, as a share of full. */
const SOME_CHARGE = 0.01;

/** Milliseconds the luminaire would stay lit if the mains failed at `now`. */
function lastsMs(l: Luminaire, now: number): number {
  if (l.state.isDark || l.state.isBatteryOpen) return 0;
  if (l.battery.mode === 'loaded') return Math.max(0, emptyAt(l.battery) - now);
  return chargeAt(l.battery, now) * fullMsAt(l.battery, now);
}

function isBroken(l: Luminaire, now: number): boolean {
  const { isDark, isBatteryOpen, isChargerDead } = l.state;
  return isDark || isBatteryOpen || isChargerDead || fullMsAt(l.battery, now) < l.spec.ratedSec * 1000;
}

/** Instants in (`from`, `to`) at which it becomes short, recovers, or its battery has faded too far. */
function turnsIn(l: Luminaire, from: number, to: number): number[] {
  const ratedMs = l.spec.ratedSec * 1000;
  const isShort = (at: number) => lastsMs(l, at) < ratedMs;
  const turns: number[] = [];
  // While charging it gains until it is full; only then does age take from it.
  const fullAt = firstWhere((at) => l.battery.mode !== 'charging' || chargeAt(l.battery, at) >= 1, from, to);
  for (const [a, b] of [
    [from, fullAt],
    [fullAt, to],
  ]) {
    const before = isShort(a);
    if (b > a && isShort(b) !== before) turns.push(firstWhere((at) => isShort(at) !== before, a, b));
  }
  if (!isBroken(l, from) && isBroken(l, to)) turns.push(firstWhere((at) => isBroken(l, at), from, to));
  return turns.filter((at) => at > from && at < to).sort((a, b) => a - b);
}

function add(short: Short[], span: Short): void {
  const last = short[short.length - 1];
  if (last && last.to === span.from && last.isBroken === span.isBroken) last.to = span.to;
  else short.push(span);
}

/** Plays [`from`, `to`), in which nothing changes from outside. */
function liveThrough(l: Luminaire, from: number, to: number, life: Life): void {
  const { battery } = l;
  if (battery.mode === 'loaded' && chargeAt(battery, from) > SOME_CHARGE && emptyAt(battery) < to)
    life.flat++;
  const marks = [from, ...turnsIn(l, from, to), to];
  for (let i = 0; i + 1 < marks.length; i++) {
    const [a, b] = [marks[i], marks[i + 1]];
    if (lastsMs(l, a) < l.spec.ratedSec * 1000) add(life.short, { from: a, to: b, isBroken: isBroken(l, a) });
  }
}

/**
 * The life of a luminaire from 0 until `until`, simulated ms.
 * @param ailments what was broken, and until when
 * @param offs when it had no supply; sorted, disjoint
 */
export function lifeOf(spec: LuminaireSpec, ailments: AilmentFault[], offs: Span[], until: number): Life {
  const l = newLuminaire(spec);
  for (const fault of ailments) plantLuminaireFault(l, { ...fault });
  const edges = new Set([0, until]);
  for (const { from, to } of [...offs, ...ailments])
    for (const at of [from, to]) if (at < until) edges.add(at);
  const marks = [...edges].sort((a, b) => a - b);
  const life: Life = { short: [], flat: 0, spent: 0 };
  let cycles = 0;
  let next = 0;
  for (let i = 0; i + 1 < marks.length; i++) {
    const at = marks[i];
    while (next < offs.length && offs[next].to <= at) next++;
    const isOff = next < offs.length && offs[next].from <= at;
    const before = l.battery.cycles;
    setSupplied(l, !isOff, at);
    cycles += l.battery.cycles - before;
    // Applies faults that begin or end now.
    isLitOnBattery(l, at);
    liveThrough(l, at, marks[i + 1], life);
  }
  return { ...life, spent: spentOn(l, cycles, until) };
}

/** What full discharges took of all that discharges and age took of the capacity, as logarithms add up. */
function spentOn({ battery: { chemistry, celsius } }: Luminaire, cycles: number, ageMs: number): number {
  const byCycles = Math.log(cycleShare(chemistry, cycles, celsius));
  const byAge = Math.log(calendarShare(chemistry, ageMs, celsius));
  return byCycles === 0 ? 0 : byCycles / (byCycles + byAge);
}
