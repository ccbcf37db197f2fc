// The emitted firmware on the real interpreter at the end of a serial port, with the rig (shims/rig.js)
// in front of it: plays lines of a trace and gives back what the firmware did, in the trace's own form.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { buildFirmware } from '../../firmware/build/build';
import type { Memory } from '../support/interpreter';
import { PortInterpreter } from '../support/interpreterPort';
import { joined, msOf, piecesOf } from './lines';
import type { Scenario } from './scenario';

/**
 * Longest text handed over at once, and longest piece of received data: with what is around it, less than
 * the 512 bytes of input that a board keeps, and that a Linux build takes in at once. There, input that
 * comes while earlier input is being worked on can crash the interpreter: two threads, no lock between.
 */
const PART_LENGTH = 330;
const PIECE_BYTES = 192;
/** Bytes of flash read back at once. */
const READ_BYTES = 512;

const RIG = fileURLToPath(new URL('./shims/rig.js', import.meta.url));

/** A given line as the rig takes it: time since the line before, data in pieces and in base64. */
export function rigLines(line: string, beforeMs: number): string[] {
  const [kind, ms, ...rest] = line.split(' ');
  const head = `${kind} ${Number(ms) - beforeMs}`;
  if (kind !== 'D') return [[head, ...rest].join(' ')];
  const texts = piecesOf(rest[0], PIECE_BYTES).map((piece) => Buffer.from(piece, 'hex').toString('base64'));
  return texts.map((text, i) => `${i === 0 ? head : 'D 0'} ${text}`);
}

/** Joins lines to texts of at most PART_LENGTH characters, or of one line; each ends with a newline. */
export function rigParts(lines: string[], beforeMs: number): string[] {
  const own = lines.flatMap((line, i) => rigLines(line, i === 0 ? beforeMs : msOf(lines[i - 1])));
  return joined(own, PART_LENGTH);
}

/** Puts together what the rig prints of the firmware's doings. */
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
  readonly board = new PortInterpreter();
  private readonly folder = mkdtempSync(join(tmpdir(), 'nightproof-rig-'));
  /** Time of the last line played since the start. */
  private ms = 0;

  constructor() {
    this.board.console.event = (line) => this.listener.hear(line);
  }

  /**
   * Builds the firmware, uploads it and the rig as boot code and writes the scenario's configuration; a
   * controller that was never used. @returns the file that was uploaded
   */
  async setUp(scenario: Scenario): Promise<string> {
    const firmware = (await buildFirmware({ outDir: this.folder })).minified;
    await this.board.open();
    await this.clear();
    await this.board.upload(firmware);
    const rig = join(this.folder, 'rig.js');
    const entropy = `E.hwRand=function(){return ${scenario.entropy}};`;
    writeFileSync(rig, `${readFileSync(RIG, 'latin1')}\n${entropy}\n`);
    await this.board.upload(rig, '.boot0');
    await this.ask(`require("Storage").write("np.cfg",${JSON.stringify(scenario.config)})`);
    await this.powerCut();
    return firmware;
  }

  /** Lets go of the board and removes what was built for it. */
  async close(): Promise<void> {
    await this.board.close();
    rmSync(this.folder, { recursive: true, force: true });
  }

  ask<T>(expression: string, timeoutMs?: number): Promise<T> {
    return this.board.ask<T>(expression, timeoutMs);
  }

  memory(): Promise<Memory> {
    return this.ask<Memory>('process.memory(true)');
  }

  /** Plays given lines of a trace. @returns what the firmware did, as the trace has it. */
  async play(lines: string[]): Promise<string[]> {
    for (const part of rigParts(lines, this.ms)) await this.ask(`rig.play(${JSON.stringify(part)})`, 600_000);
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

  /** A controller that was never used, with the same firmware and configuration. */
  async fresh(): Promise<void> {
    await this.powerCut();
    const names = await this.ask<string[]>('require("Storage").list()');
    for (const name of names.filter((name) => name.startsWith('np.') && name !== 'np.cfg'))
      await this.ask(`require("Storage").erase(${JSON.stringify(name)})`);
    await this.ask('require("Storage").compact()');
    await this.powerCut();
  }

  /** Bytes of a file in the interpreter's flash, by its console. */
  async flashFile(name: string): Promise<Buffer> {
    const storage = `require("Storage").read(${JSON.stringify(name)}`;
    const size = await this.ask<number>(`(${storage})||"").length`);
    let text = '';
    while (text.length < size) text += await this.ask<string>(`${storage},${text.length},${READ_BYTES})`);
    return Buffer.from(text, 'latin1');
  }

  /** The firmware has started anew. */
  restarted(): void {
    this.ms = 0;
    this.listener.told = [];
  }

  /** Removes all that earlier runs left, the rig included. */
  async clear(): Promise<void> {
    const names = await this.ask<string[]>('require("Storage").list()');
    for (const name of names.filter((name) => /^(np\.|\.boot)/.test(name)))
      await this.ask(`require("Storage").erase(${JSON.stringify(name)})`);
    await this.ask('require("Storage").compact()');
    await this.board.powerCut();
  }
}
