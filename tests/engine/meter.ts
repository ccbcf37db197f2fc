// An interpreter with the firmware in its flash and the meter in front of the board: what the program itself
// needs of the interpreter's variables, without the workbench that stands in for the board.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { Interpreter } from '../support/interpreter';
import { joined, piecesOf } from './lines';
import type { Scenario } from './scenario';

/** Longest text handed over at once, and longest piece of data, as a network chip would deliver them. */
const PART_LENGTH = 500;
const PIECE_BYTES = 512;

type Places = { [place: string]: number };

/** Most variables in use, by kind of line and by what was called: see shims/meter.js. */
export interface Tops {
  T: Places;
  D: Places;
}

const shim = (name: string) =>
  readFileSync(fileURLToPath(new URL(`./shims/${name}`, import.meta.url)), 'latin1');

/** Cuts received data into pieces, as a network delivers it. */
function cut(line: string): string[] {
  if (line[0] !== 'D') return [line];
  const [, ms, hex] = line.split(' ');
  return piecesOf(hex, PIECE_BYTES).map((piece) => `D ${ms} ${piece}`);
}

/** The interpreter's flash: workbench, player and meter as boot code, then the firmware. */
export async function metered(
  scenario: Scenario,
  firmware: string | undefined,
  config = scenario.config,
): Promise<Interpreter> {
  const files: { [name: string]: string } = {
    '.boot0': shim('bench.js'),
    '.boot1': `${shim('player.js')}\nE.hwRand=function(){return ${scenario.entropy}};`,
    '.boot2': shim('meter.js'),
  };
  if (firmware !== undefined) files['.bootcde'] = firmware;
  if (config) files['np.cfg'] = config;
  const interpreter = new Interpreter();
  await interpreter.install(files);
  return interpreter;
}

/** Plays lines of the trace. @returns bytes sent by the firmware since its start. */
export async function play(interpreter: Interpreter, lines: string[]): Promise<number> {
  let written = 0;
  for (const part of joined(lines.flatMap(cut), PART_LENGTH)) {
    written = await interpreter.ask<number>(`meter.play(${JSON.stringify(part)})`, 600_000);
    if (interpreter.complaints.length > 0) throw new Error(interpreter.complaints.join(' '));
  }
  return written;
}

/** The counts since the last call. */
export async function takeTops(interpreter: Interpreter): Promise<Tops> {
  const tops = await interpreter.ask<Tops>('meter.top');
  await interpreter.ask(
    '(function(){for(var k in meter.top)for(var p in meter.top[k])meter.top[k][p]=0;})()',
  );
  return tops;
}

/** What the workbench, the meter and the part of the trace being played take at each place of the meter. */
export async function benchTops(scenario: Scenario): Promise<Tops> {
  const interpreter = await metered(scenario, undefined);
  try {
    await interpreter.ask('meter.hook()');
    await interpreter.ask('meter.idle()');
    const turn = scenario.trace.given.filter((line) => line.startsWith('T') && line.length > 60)[0];
    await play(interpreter, new Array(20).fill(turn).slice(0, Math.floor(PART_LENGTH / (turn.length + 1))));
    await play(interpreter, [`D 250 ${'5a'.repeat(PIECE_BYTES)}`]);
    return await takeTops(interpreter);
  } finally {
    await interpreter.close();
  }
}

/** The most variables that the firmware itself used, and where. */
export function peakOf(seen: Tops, bench: Tops): { variables: number; place: string } {
  let peak = { variables: 0, place: '' };
  for (const kind of ['T', 'D'] as const)
    for (const place of Object.keys(seen[kind])) {
      const variables = seen[kind][place] - bench[kind][place];
      if (variables > peak.variables)
        peak = { variables, place: `${kind === 'T' ? 'turn' : 'data'}, ${place}` };
    }
  return peak;
}
