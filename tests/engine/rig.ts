// The emitted firmware on the real interpreter, with the rig (shims/rig.js) in front of it: plays lines of a
// trace and returns what the firmware did, in the trace's own form.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { type FlashFiles, Interpreter, type Memory } from '../support/interpreter';
import { boardPort, PortInterpreter } from '../support/interpreterPort';
import { type Board, programOf } from './firmware';
import { joined, msOf, piecesOf } from './lines';
import type { Scenario } from './scenario';

/**
 * Longest text handed over at once, and longest piece of received data: with what surrounds it, less than the
 * 512 bytes of input that a board buffers. And short, as a network chip with a small buffer would deliver it,
 * because the interpreter keeps what it receives.
 */
const PART_LENGTH = 150;
const PIECE_BYTES = 64;

const shim = (name: string): string => fileURLToPath(new URL(`./shims/${name}.js`, import.meta.url));

/** A given line as calls of the rig: time since the line before, data in pieces and in base64. */
export function rigCalls(line: string, beforeMs: number): string[] {
  const [kind, ms, ...rest] = line.split(' ');
  const since = Number(ms) - beforeMs;
  if (kind === 'T') {
    const turn = `rig.t(${since},${rest[0]},1)`;
    return rest.length > 1 ? [`rig.ma.set([${rest[1]}])`, turn] : [turn];
  }
  const calls = since > 0 ? [`rig.ms+=${since}`] : [];
  if (kind === 'O') return [...calls, 'rig.open()'];
  if (kind === 'C') return [...calls, 'rig.close(false)'];
  const texts = piecesOf(rest[0], PIECE_BYTES).map((piece) => Buffer.from(piece, 'hex').toString('base64'));
  return [...calls, ...texts.map((text) => `rig.data(atob("${text}"))`)];
}

/** Merges consecutive identical turns into one call each. */
function withRuns(calls: string[]): string[] {
  const found: string[] = [];
  let count = 1;
  calls.forEach((call, i) => {
    const isRun = call.startsWith('rig.t') && call === calls[i + 1];
    if (!isRun) found.push(call.replace(/,1\)$/, `,${count})`));
    count = isRun ? count + 1 : 1;
  });
  return found;
}

/** Lines as expressions of at most PART_LENGTH characters, or of one call. */
export function rigParts(lines: string[], beforeMs: number): string[] {
  const calls = lines.flatMap((line, i) => rigCalls(line, i === 0 ? beforeMs : msOf(lines[i - 1])));
  return joined(withRuns(calls), PART_LENGTH).map((text) => text.trim().replaceAll('\n', ','));
}

/** Assembles the lines of a trace from what the rig prints. */
export class Listener {
  told: string[] = [];
  /** Called with what happens on the real clock: E0, E1, K. */
  live: (event: string) => void = () => {};
  private open = '';
  private bytes = Buffer.alloc(0);
  private wanted = 0;

  hear(line: string): void {
    if (line[0] === 'P') this.told.push(line);
    else if (line[0] === 'W') {
      const [, ms, length] = line.split(' ');
      this.open = `W ${ms}`;
      this.bytes = Buffer.alloc(0);
      this.wanted = Number(length);
    } else if (line[0] === '-') {
      this.bytes = Buffer.concat([this.bytes, Buffer.from(line.slice(1), 'base64')]);
      if (this.bytes.length >= this.wanted) this.told.push(`${this.open} ${this.bytes.toString('hex')}`);
    } else this.live(line);
  }
}

export class Rig {
  readonly listener = new Listener();
  readonly board: Interpreter | PortInterpreter;
  private files: FlashFiles = {};
  /** Most variables seen in use between two turns. */
  peak = 0;
  /** Time of the last line played since the start. */
  private ms = 0;

  /** On the board of ESPRUINO_PORT, otherwise on the interpreter of this machine. */
  constructor(board = boardPort ? new PortInterpreter() : new Interpreter()) {
    this.board = board;
    board.console.event = (line) => this.listener.hear(line);
  }

  /**
   * Installs a board's program with the rig in front and the scenario's configuration, and starts it as an
   * unused controller. `shims` are placed in front of the program, and `statements` after them.
   */
  async setUp(scenario: Scenario, shims = ['rig'], statements = '', board?: Board): Promise<void> {
    const entropy = `E.hwRand=function(){return ${scenario.entropy}};`;
    this.files = {
      '.boot0': [...shims.map((name) => readFileSync(shim(name), 'latin1')), statements, entropy, ''].join(
        '\n',
      ),
      '.bootcde': programOf(board),
      'np.cfg': scenario.config,
    };
    await this.fresh();
  }

  /** Releases the board. */
  close(): Promise<void> {
    return this.board.close();
  }

  ask<T>(expression: string, timeoutMs?: number): Promise<T> {
    return this.board.ask<T>(expression, timeoutMs);
  }

  memory(): Promise<Memory> {
    return this.board.memory();
  }

  /** How often the watchdog would have bitten since the start, and how many turns it took to be fed at most. */
  watchdog(): Promise<number[]> {
    return this.ask<number[]>('[rig.bites,rig.most]');
  }

  /** Plays given lines of a trace. @returns what the firmware did, in the trace's form. */
  async play(lines: string[]): Promise<string[]> {
    for (const part of rigParts(lines, this.ms)) {
      const used = await this.ask<number>(`(${part},process.memory(false).usage)`, 600_000);
      this.peak = Math.max(this.peak, used);
    }
    if (lines.length > 0) this.ms = msOf(lines[lines.length - 1]);
    const told = this.listener.told;
    this.listener.told = [];
    return told;
  }

  /** Power off and on: the firmware starts from flash, at time 0. */
  async powerCut(): Promise<void> {
    await this.board.powerCut();
    this.restarted();
  }

  /** Resets to an unused controller with the same firmware and configuration. */
  async fresh(): Promise<void> {
    await this.board.install(this.files);
    this.restarted();
  }

  /** The firmware has restarted. */
  restarted(): void {
    this.ms = 0;
    this.listener.told = [];
  }
}
