// How many machine instructions one turn of the loop takes on the real interpreter, counted by callgrind
// (Debian package valgrind) without what stands in for the board, and how long that takes on a board. By hand:
//   ESPRUINO_BIN=/path/to/espruino node --import tsx tests/engine/turns.ts [bundle.js]
// prints the table of docs/engine.md.
import { mkdtempSync, readdirSync, readFileSync, rmSync, unlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { buildFirmware } from '../../firmware/build/build';
import { type Entry, entriesOf } from './entries';
import { fullExtent, playOnSimulator, type Scenario } from './scenario';
import { printPause, printTable } from './turnTable';

const PART_LENGTH = 2000;
/** Index of what was sent in the shim's list of calls. */
const SENT = 6;
const MARK = 'jswrap_espruino_reverseByte';
const COUNTED = 'jswrap_function_apply_or_call';

const part = join(tmpdir(), `nightproof-part-${process.pid}`);
/**
 * A thousand terms of Leibniz' series in the outermost scope: the program that a board of this family was
 * timed with.
 */
const SERIES =
  "eval.call(undefined,'var terms = 1000;var x = 1;var pi = 1;for (n = 2; n < terms + 2; n++) {    x = x * -1;    pi = pi + (x / (2*n-1));}');E.reverseByte(1);";
const dumps = mkdtempSync(join(tmpdir(), 'nightproof-turns-'));
const plainCommand = process.env.ESPRUINO_BIN;
if (!plainCommand) throw new Error('Set ESPRUINO_BIN to the interpreter to count with.');
process.env.ESPRUINO_BIN = [
  'valgrind --tool=callgrind --collect-atstart=no',
  `--toggle-collect=${COUNTED} --dump-after=${MARK}`,
  `--callgrind-out-file=${join(dumps, 'out')} ${plainCommand}`,
].join(' ');
const { Interpreter } = await import('../support/interpreter');

const shim = (name: string) =>
  readFileSync(fileURLToPath(new URL(`./shims/${name}`, import.meta.url)), 'latin1');

/**
 * Instructions of the stand-in for flash, which opens a file for every 16 bytes: a board has its flash mapped
 * in memory. The line after a call of it holds the cost of all calls from that place.
 */
function flashReads(profile: string): number {
  let sum = 0;
  const id = /\((\d+)\) jshFlashRead\n/.exec(profile);
  const call = new RegExp(`cfn=\\(${id?.[1] ?? 'none'}\\).*\\ncalls=.*\\n\\S+ (\\d+)`, 'g');
  for (const found of profile.matchAll(call)) sum += Number(found[1]);
  return sum;
}

/** Instruction counts of the marks since the last call, in order. */
function takeCounts(expected: number): number[] {
  const files = readdirSync(dumps).map((name) => ({ name, at: Number(name.split('.')[1] ?? 0) }));
  files.sort((a, b) => a.at - b.at);
  const counts: number[] = [];
  for (const { name } of files) {
    const file = join(dumps, name);
    const text = readFileSync(file, 'latin1');
    const found = /^summary: (\d+)/m.exec(text);
    if (found) counts.push(Number(found[1]) - flashReads(text));
    unlinkSync(file);
  }
  if (counts.length !== expected) throw new Error(`callgrind gave ${counts.length} counts, not ${expected}.`);
  return counts;
}

/**
 * Extra cost of the calls that stand in for the board over the real ones, and the cost of a pass of the
 * collector.
 */
export interface Rates {
  /** By index in the shim's list of calls. */
  calls: number[];
  collectorPass: number;
  /** Instructions for one term of Leibniz' series. */
  seriesTerm: number;
}

async function calibrate(interpreter: InstanceType<typeof Interpreter>): Promise<Rates> {
  await interpreter.ask('turns.calibrate()');
  const [series, empty, ...rest] = takeCounts(12);
  const [write, writeAll, read, adc, time, kick, realPin, realTime, realKick] = rest.map(
    (n) => (n - empty) / 100,
  );
  return {
    // A reading of the converter stands in for one of a pin; a pin costs a lookup whether it is real or not.
    calls: [
      write - realPin,
      writeAll - realPin,
      read - realPin,
      adc - realPin,
      time - realTime,
      kick - realKick,
      time - realTime,
      write - realPin,
    ],
    collectorPass: rest[9],
    seriesTerm: series / 1000,
  };
}

async function count(scenario: Scenario, firmware: string): Promise<{ entries: Entry[]; rates: Rates }> {
  const interpreter = new Interpreter();
  await interpreter.install({
    '.boot0': shim('bench.js'),
    '.boot1': `${shim('player.js')}\nE.hwRand=function(){return ${scenario.entropy}};`,
    '.boot2': shim('turns.js'),
    '.boot3': SERIES,
    '.bootcde': firmware,
    'np.cfg': scenario.config,
  });
  try {
    const entries = entriesOf(scenario);
    const rates = await calibrate(interpreter);
    let from = 0;
    while (from < entries.length) {
      let text = '';
      let to = from;
      while (to < entries.length && (to === from || text.length + entries[to].line.length < PART_LENGTH))
        text += `${entries[to++].line}\n`;
      writeFileSync(part, text);
      const calls = await interpreter.ask<string[]>(`turns.play(${JSON.stringify(part)})`, 300_000);
      const counts = takeCounts(calls.length);
      let taken = 0;
      for (let i = from; i < to; i++) {
        if (!entries[i].isCounted) continue;
        const at = taken++;
        entries[i].calls = calls[at].split(',').map(Number);
        entries[i].instructions =
          counts[at] - rates.calls.reduce((sum, cost, k) => sum + cost * entries[i].calls[k], 0);
      }
      if (process.env.PROGRESS) printTable(entries.slice(from, to), rates);
      from = to;
    }
    const strayed = entries.find(
      (e) => e.isCounted && e.line[0] === 'T' && (e.name !== '') !== e.calls[SENT] > 0,
    );
    if (strayed) throw new Error(`At ${strayed.ms} ms the interpreter did not do what the simulator did.`);
    if (interpreter.complaints.length > 0) throw new Error(interpreter.complaints.join(' '));
    return { entries, rates };
  } finally {
    await interpreter.close();
  }
}

try {
  const bundle = process.argv[2] ?? (await buildFirmware()).minified;
  const extent = {
    ...fullExtent(Number(process.env.DAYS ?? 6), Number(process.env.RATED ?? 900)),
    isTraced: process.env.TRACED !== undefined,
  };
  const scenario = playOnSimulator(
    process.env.ORDER ? { ...extent, isOrdered: true, endTogether: 4 } : extent,
  );
  const { entries, rates } = await count(scenario, readFileSync(bundle, 'latin1'));
  printTable(entries, rates);
  printPause(entries, scenario.trace.told, rates);
} finally {
  rmSync(part, { force: true });
  rmSync(dumps, { recursive: true, force: true });
}
