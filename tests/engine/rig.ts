// The emitted firmware on the real interpreter at the end of a serial port, with the rig (shims/rig.js)
// in front of it: plays lines of a trace and gives back what the firmware did, in the trace's own form.
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Memory } from '../support/interpreter';
import { PortInterpreter } from '../support/interpreterPort';

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

/** Time of a line of the trace, ms. */
export function msOf(line: string): number {
  return Number(line.split(' ')[1]);
}

/** A given line as the rig takes it: time since the line before, data in pieces and in base64. */
export function rigLines(line: string, beforeMs: number): string[] {
  const [kind, ms, ...rest] = line.split(' ');
  const head = `${kind} ${Number(ms) - beforeMs}`;
  if (kind !== 'D') return [[head, ...rest].join(' ')];
  const pieces = rest[0].match(new RegExp(`.{1,${2 * PIECE_BYTES}}`, 'g')) ?? [];
  const texts = pieces.map((piece) => Buffer.from(piece, 'hex').toString('base64'));
  return texts.map((text, i) => `${i === 0 ? head : 'D 0'} ${text}`);
}

/** Joins lines to texts of at most PART_LENGTH characters, or of one line; each ends with a newline. */
export function rigParts(lines: string[], beforeMs: number): string[] {
  const found: string[] = [];
  let text = '';
  lines.forEach((line, i) => {
    for (const own of rigLines(line, i === 0 ? beforeMs : msOf(lines[i - 1]))) {
      if (text && text.length + own.length > PART_LENGTH) {
        found.push(text);
        text = '';
      }
      text += `${own}\n`;
    }
  });
  return text ? [...found, text] : found;
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
  /** Time of the last line played since the start. */
  private ms = 0;

  constructor() {
    this.board.console.event = (line) => this.listener.hear(line);
  }

  /**
   * Uploads firmware and rig as boot code and writes the configuration; a controller that was never used.
   * `folder` takes the file that is uploaded.
   */
  async setUp(
    firmwareFile: string,
    config: string,
    entropy: number,
    folder: string,
    rigFile = RIG,
  ): Promise<void> {
    await this.board.open();
    await this.clear();
    await this.board.upload(firmwareFile);
    const rig = join(folder, 'rig.js');
    writeFileSync(rig, `${readFileSync(rigFile, 'latin1')}\nE.hwRand=function(){return ${entropy}};\n`);
    await this.board.upload(rig, '.boot0');
    await this.ask(`require("Storage").write("np.cfg",${JSON.stringify(config)})`);
    await this.powerCut();
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
