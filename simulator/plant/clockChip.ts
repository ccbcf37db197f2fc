// A battery-backed clock chip: it counts from its own cell, whatever happens to the board. Its answer is what
// the board's driver makes of the bus, so a bus at fault gives no answer; a chip that gives a wrong time while
// its flag is clear is as bad as the real one can be.
import { faultEdgeAfter, inForce, isIn, type Span } from './spans';

/** 1 January 2000: where a chip starts that has lost its time. */
const EMPTY_UTC = 946684800;

interface ChipDrift extends Span {
  ppm: number;
}

export interface ClockChip {
  /** Its time at `since`, ms since the epoch of UTC, and its rate from then on. */
  utcMs: number;
  since: number;
  rate: number;
  /** Oscillator-stopped flag. */
  isStopped: boolean;
  /** Oscillator faults; spans without an answer, and of an answer that is no time. Sorted, disjoint. */
  drifts: ChipDrift[];
  silences: Span[];
  rubbish: Span[];
  /** Instants at which the cell runs empty or is taken out, and jumps of the time, ms. Sorted. */
  losses: number[];
  jumps: { at: number; jumpMs: number }[];
  /** How often it was set. */
  sets: number;
}

/** A new chip, as delivered: never set. */
export function newClockChip(ppm: number): ClockChip {
  return {
    utcMs: EMPTY_UTC * 1000,
    since: 0,
    rate: 1 + ppm / 1e6,
    isStopped: true,
    drifts: ppm === 0 ? [] : [{ from: 0, to: Number.POSITIVE_INFINITY, ppm }],
    silences: [],
    rubbish: [],
    losses: [],
    jumps: [],
    sets: 0,
  };
}

function advance(c: ClockChip, to: number): void {
  c.utcMs += (to - c.since) * c.rate;
  c.since = to;
  c.rate = 1 + (inForce(c.drifts, to)?.ppm ?? 0) / 1e6;
}

/** Brings it to `now`, with whatever happens on the way. */
function settle(c: ClockChip, now: number): void {
  for (;;) {
    const loss = c.losses[0] ?? Number.POSITIVE_INFINITY;
    const jump = c.jumps[0]?.at ?? Number.POSITIVE_INFINITY;
    const at = Math.min(faultEdgeAfter(c.drifts, c.since), loss, jump, now);
    advance(c, Math.max(at, c.since));
    if (loss <= at) {
      c.losses.shift();
      c.utcMs = EMPTY_UTC * 1000;
      c.isStopped = true;
    }
    if (jump <= at) c.utcMs += c.jumps.shift()?.jumpMs ?? 0;
    if (at >= now && (c.losses[0] ?? now + 1) > now && (c.jumps[0]?.at ?? now + 1) > now) return;
  }
}

function isDeaf(c: ClockChip, now: number): boolean {
  return isIn(c.silences, now) || isIn(c.rubbish, now);
}

/** As `BoardPort.chipTime`. */
export function readClockChip(c: ClockChip, now: number): number {
  settle(c, now);
  return c.isStopped || isDeaf(c, now) ? 0 : Math.floor(c.utcMs / 1000);
}

/** As `BoardPort.setChipTime`. */
export function setClockChip(c: ClockChip, utcSec: number, now: number): number {
  settle(c, now);
  if (isDeaf(c, now)) return 0;
  c.utcMs = utcSec * 1000;
  c.isStopped = false;
  c.sets++;
  return 1;
}
