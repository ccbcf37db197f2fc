// The table of what turns take, from counted entries.
import type { Entry } from './entries';
import type { Rates } from './turns';

/** Cycles a board of this family took for one term of the series: F401 at 84 MHz, 458 s for 1,000,000. */
const SERIES_CYCLES = 38_472;
const CLOCK_MHZ = 84;
/** The board was timed once, and by one program: this much is laid on top. */
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
