// The table of how long turns take, from counted entries.
import type { Entry } from './entries';
import { longestPauseMs } from './pulses';
import type { Rates } from './turns';

/**
 * Cycles that a board of this family took for one term of the series: F401 at 84 MHz, 458 s for 1,000,000.
 */
const SERIES_CYCLES = 38_472;
const CLOCK_MHZ = 84;
/** The board was timed only once, with one program: this margin is added. */
const MARGIN = 1.25;

function classOf(e: Entry): string {
  if (e.line[0] === 'D') return `received: ${e.name}`;
  if (e.line[0] !== 'T') return e.name;
  const does: string[] = [];
  if (e.calls[3] > 0) does.push('lamps read');
  if (e.calls[7] > 0) does.push('flash written');
  if (e.name) does.push(`sent: ${e.name}`);
  if (does.length === 0) does.push(e.isIdle ? 'nothing' : 'stepped');
  return `turn${e.pulsing ? ' in test' : ''}: ${does.join(', ')}`;
}

/** Instructions of every entry: as counted, or the highest count among similar ones. */
function instructionsOf(entries: Entry[]): Map<Entry, number> {
  const most = new Map<string, number>();
  for (const e of entries.filter((x) => x.isCounted))
    most.set(e.alike, Math.max(most.get(e.alike) ?? 0, e.instructions));
  return new Map(entries.map((e) => [e, e.isCounted ? e.instructions : (most.get(e.alike) ?? 0)]));
}

/**
 * Prints the longest time between two rising edges of the pulse train when every entry takes as long as
 * counted.
 */
export function printPause(entries: Entry[], told: string[], rates: Rates): void {
  const msPer = SERIES_CYCLES / rates.seriesTerm / CLOCK_MHZ / 1000;
  const lines = new Map<string, number>();
  let idle = 0;
  for (const [e, instructions] of instructionsOf(entries)) {
    if (e.isIdle) idle = Math.max(idle, instructions);
    else {
      const line = e.line[0].toUpperCase() + e.line.slice(1);
      lines.set(line, (lines.get(line) ?? 0) + instructions);
    }
  }
  const pause = (factor: number) =>
    longestPauseMs([...lines.keys()], told, {
      idleMs: idle * msPer * factor,
      ofLine: (line) => (lines.get(line) ?? 0) * msPer * factor,
    }) +
    rates.collectorPass * msPer * factor;
  console.log(
    `Between two rising edges at most ${pause(1).toFixed(0)} ms, with the margin ${pause(MARGIN).toFixed(0)} ms, a collector pass included.`,
  );
}

export function printTable(entries: Entry[], rates: Rates): void {
  const cyclesPerInstruction = SERIES_CYCLES / rates.seriesTerm;
  const ms = (n: number) => ((n * cyclesPerInstruction * MARGIN) / CLOCK_MHZ / 1000).toFixed(1).padStart(8);
  const mega = (n: number) => (n / 1e6).toFixed(2).padStart(8);
  console.log(
    `series term ${rates.seriesTerm}, cycles per instruction ${cyclesPerInstruction.toFixed(2)}, with margin ${(cyclesPerInstruction * MARGIN).toFixed(2)}`,
  );
  console.log(
    `collector pass ${mega(rates.collectorPass)} M ${ms(rates.collectorPass)} ms; calls ${rates.calls.map(Math.round)}`,
  );
  const classes = new Map<string, Entry[]>();
  for (const e of entries.filter((x) => x.isCounted))
    classes.set(classOf(e), [...(classes.get(classOf(e)) ?? []), e]);
  const rows = [...classes].map(([name, list]) => ({
    name,
    count: list.length,
    mean: list.reduce((sum, e) => sum + e.instructions, 0) / list.length,
    worst: list.reduce((a, b) => (a.instructions > b.instructions ? a : b)),
  }));
  rows.sort((a, b) => b.worst.instructions - a.worst.instructions);
  for (const r of rows)
    console.log(
      `${r.name.slice(0, 60).padEnd(60)} ${String(r.count).padStart(6)} ${mega(r.mean)} ${mega(r.worst.instructions)} ${ms(r.mean)} ${ms(r.worst.instructions)}  at ${r.worst.ms}`,
    );
}
