// What the long runs have shown, kept beside the circuit in simulator/guards/*.csv. A fingerprint of everything
// that ngspice was given says whether they are still about this circuit.
import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { guardBoard } from '../../../simulator/guards/board';
import type { Measures } from '../../../simulator/guards/document';
import { singleFaults } from '../../../simulator/guards/faultList';
import type { Seen } from '../../../simulator/guards/faults';
import { type Breakage, commands, netlist } from '../../../simulator/guards/netlist';
import type { FaultRow } from '../../../simulator/guards/pfd';
import {
  endings,
  expires,
  fastPace,
  floating,
  hurried,
  ownPace,
  stray,
  type Timeline,
} from '../../../simulator/guards/timeline';

const at = (name: string) => fileURLToPath(new URL(`../../../simulator/guards/${name}`, import.meta.url));
const FAULTS = at('faults.csv');
const PIECES = at('pieces.csv');
const NEVER = 'never';
const STAGES = 14;

/** Pieces of the board at one temperature. */
export interface Pieces extends Measures {
  celsius: number;
  count: number;
}

/** A table and the fingerprint of what was run for it. */
export interface Kept<Row> {
  fingerprint: string;
  rows: Row[];
}

/** Changes with the circuit, the models, the faults and the timelines. */
export function fingerprint(): string {
  const hash = createHash('sha256');
  const add = (breakages: Breakage[], timeline: Timeline) => {
    const bench = { circuit: guardBoard, timeline, breakages, stages: STAGES, celsius: 25 };
    hash.update([...netlist(bench), ...commands(guardBoard, timeline)].join('\n'));
  };
  for (const timeline of [endings, expires, fastPace, floating, hurried, ownPace, stray]) add([], timeline);
  for (const fault of singleFaults(guardBoard)) add([fault], endings);
  hash.update(
    JSON.stringify(guardBoard.parts.map(({ id, value, tolerance, ppm }) => [id, value, tolerance, ppm])),
  );
  hash.update(JSON.stringify([guardBoard.spreads, guardBoard.supplyTolerance]));
  return hash.digest('hex').slice(0, 16);
}

type Cell = string | number | boolean;
const SIGN = '# fingerprint ';

function write(path: string, table: { [column: string]: Cell }[]): void {
  const cells = (row: { [column: string]: Cell }) =>
    Object.values(row).map((v) => (v === Number.POSITIVE_INFINITY ? NEVER : String(v)));
  const lines = [
    `${SIGN}${fingerprint()}`,
    Object.keys(table[0]).join(),
    ...table.map((row) => cells(row).join()),
  ];
  writeFileSync(path, `${lines.join('\n')}\n`);
}

function value(text: string): Cell {
  if (text === NEVER) return Number.POSITIVE_INFINITY;
  if (text === 'true' || text === 'false') return text === 'true';
  return text === '' || Number.isNaN(Number(text)) ? text : Number(text);
}

function read(path: string): Kept<{ [column: string]: Cell }> {
  const [sign, header, ...lines] = readFileSync(path, 'utf8').trimEnd().split('\n');
  const names = header.split(',');
  const rows = lines.map((line) =>
    Object.fromEntries(line.split(',').map((text, i) => [names[i], value(text)])),
  );
  return { fingerprint: sign.slice(SIGN.length), rows };
}

export function readFaults(): Kept<FaultRow> {
  const { fingerprint, rows } = read(FAULTS);
  return {
    fingerprint,
    rows: rows.map(({ part, mode, ...seen }) => ({ part, mode, seen }) as unknown as FaultRow),
  };
}

export function writeFaults(rows: FaultRow[]): void {
  write(
    FAULTS,
    rows.map(({ part, mode, seen }) => ({ part, mode, ...seen })),
  );
}

const RANGES = ['stopsLowMs', 'stopsHighMs', 'enableMs', 'timerSec', 'hurriedSec'] as const;

export function readPieces(): Kept<Pieces> {
  const { fingerprint, rows } = read(PIECES);
  const pieces = rows.map((row) => {
    const ranges = RANGES.map((name) => [name, [row[`${name} from`], row[`${name} to`]]]);
    const complaints = row.complaints === 0 ? {} : { 'out of limits': row.complaints };
    return { celsius: row.celsius, count: row.count, complaints, ...Object.fromEntries(ranges) };
  });
  return { fingerprint, rows: pieces as unknown as Pieces[] };
}

export function writePieces(rows: Pieces[]): void {
  const flat = (one: Pieces) => {
    const ranges = RANGES.flatMap((name) => [
      [`${name} from`, one[name][0]],
      [`${name} to`, one[name][1]],
    ]);
    const complaints = Object.values(one.complaints).reduce((sum, n) => sum + n, 0);
    return { celsius: one.celsius, count: one.count, complaints, ...Object.fromEntries(ranges) };
  };
  write(PIECES, rows.map(flat));
}

/**
 * What is different enough to matter between two runs of the same fault; the simulator's steps move times a little. Of a
 * coil that nothing holds there are no times.
 */
export function differences(a: Seen, b: Seen): string[] {
  const isNear = (x: number, y: number) => x === y || Math.abs(x - y) <= Math.max(10, 0.01 * Math.abs(x));
  return (Object.keys(a) as (keyof Seen)[]).filter((key) => {
    const [x, y] = [a[key], b[key]];
    if (typeof x !== 'number' || typeof y !== 'number') return x !== y && (a.mayHold || key !== 'staysOff');
    return a.mayHold && !isNear(x, y);
  });
}
