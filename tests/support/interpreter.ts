// The real interpreter, where one is given: ESPRUINO_BIN names a Linux build of Espruino 2v29, with the
// program that runs it in front where needed ("qemu-i386 /path/espruino"). Programs run from its flash,
// as on a board: the image lies in a folder of its own, which is also what a restart finds again.
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const FLASH_BYTES = 262_144;
const NAME_BYTES = 28;
/** The console takes longer lines, but slower than a test should wait. */
const LINE_BYTES = 6000;

/** Command line of the interpreter under test; undefined where none is given. */
export const interpreterCommand: string | undefined = process.env.ESPRUINO_BIN || undefined;

export interface Memory {
  usage: number;
  free: number;
  total: number;
}

interface Waiting {
  resolve(answer: string): void;
  reject(failure: Error): void;
}

/** Flash as the interpreter lays it out: size, name padded to 28 bytes, data, each file on a word boundary. */
export function flashImage(files: { [name: string]: string }): Buffer {
  const image = Buffer.alloc(FLASH_BYTES, 0xff);
  let offset = 0;
  for (const [name, text] of Object.entries(files)) {
    const data = Buffer.from(text, 'latin1');
    const end = offset + 4 + NAME_BYTES + data.length;
    if (name.length > NAME_BYTES || end > FLASH_BYTES)
      throw new Error(`${name} does not fit into the interpreter's flash of ${FLASH_BYTES} bytes.`);
    image.writeUInt32LE(data.length, offset);
    image.fill(0, offset + 4, offset + 4 + NAME_BYTES);
    image.write(name, offset + 4, 'latin1');
    data.copy(image, offset + 4 + NAME_BYTES);
    offset = (end + 3) & ~3;
  }
  return image;
}

/**
 * A console line without echo (0x10) that answers, marked by 0x02, with the value in an array, or with
 * the words of what was thrown.
 */
function line(expression: string): string {
  const guarded = `(function(){try{return JSON.stringify([${expression}])}catch(e){return JSON.stringify(""+e)}})()`;
  const text = `\x10print("\\x02"+${guarded})\n`;
  if (text.length > LINE_BYTES || expression.includes('\n'))
    throw new Error(`Ask in one line of at most ${LINE_BYTES} characters, not ${text.length}.`);
  return text;
}

/** One interpreter process after another on the same flash. Call `stop` in the end, whatever happened. */
export class Interpreter {
  /** Lines in which the interpreter complained, since the first start. */
  readonly complaints: string[] = [];
  private readonly folder = mkdtempSync(join(tmpdir(), 'nightproof-interpreter-'));
  private readonly waiting: Waiting[] = [];
  private readonly atExit = (): void => this.kill();
  private child: ChildProcessWithoutNullStreams;
  private unread = '';

  /**
   * Starts the interpreter on a flash that holds `files`. Boot order: `.boot0` to `.boot3`, `.bootcde`.
   * @throws Error when ESPRUINO_BIN is not set or the files do not fit.
   */
  constructor(files: { [name: string]: string }) {
    writeFileSync(join(this.folder, 'espruino.flash'), flashImage(files));
    process.on('exit', this.atExit);
    this.child = this.start();
  }

  /**
   * Value of a JavaScript expression of at most 5,900 characters, by way of JSON; undefined gives null.
   * @throws Error with the interpreter's words when the expression throws there, or when no answer comes.
   */
  async ask<T>(expression: string, timeoutMs = 120_000): Promise<T> {
    const text = await this.send(line(expression), timeoutMs);
    const answer = JSON.parse(text) as [T] | string;
    if (typeof answer === 'string') throw new Error(`${expression}: ${answer}`);
    return answer[0];
  }

  /** Memory cells in use and left, after a collection of garbage. */
  memory(): Promise<Memory> {
    return this.ask<Memory>('process.memory(true)');
  }

  /** Cuts the power (no shutdown code runs) and starts again from flash. */
  async restart(): Promise<void> {
    const gone = new Promise((resolve) => this.child.once('exit', resolve));
    this.kill();
    await gone;
    this.child = this.start();
  }

  /** Ends the process and removes its flash. */
  stop(): void {
    this.kill();
    process.off('exit', this.atExit);
    rmSync(this.folder, { recursive: true, force: true });
  }

  private async send(text: string, timeoutMs: number): Promise<string> {
    const answer = new Promise<string>((resolve, reject) => {
      if (this.child.exitCode !== null) reject(new Error('The interpreter has ended.'));
      this.waiting.push({ resolve, reject });
      this.child.stdin.write(text, 'latin1');
    });
    const timer = setTimeout(() => {
      this.fail(new Error(`No answer to ${text.trim()} in ${timeoutMs} ms. ${this.complaints.join(' ')}`));
    }, timeoutMs);
    try {
      return await answer;
    } finally {
      clearTimeout(timer);
    }
  }

  private start(): ChildProcessWithoutNullStreams {
    if (!interpreterCommand) throw new Error('Set ESPRUINO_BIN to the interpreter to test with.');
    const [command, ...args] = interpreterCommand.split(' ');
    const child = spawn(command, args, { cwd: this.folder });
    this.unread = '';
    child.stdout.setEncoding('latin1');
    child.stdout.on('data', (text: string) => this.read(text));
    child.stdin.on('error', () => {});
    child.on('error', (failure) => this.fail(failure));
    child.on('exit', (code, signal) => {
      if (child === this.child) this.fail(new Error(`The interpreter has ended (${signal ?? code}).`));
    });
    return child;
  }

  private read(text: string): void {
    const lines = (this.unread + text).split('\n');
    this.unread = lines.pop() ?? '';
    for (const line of lines) {
      const mark = line.indexOf('\x02');
      if (mark >= 0) this.waiting.shift()?.resolve(line.slice(mark + 1).replace(/\r/g, ''));
      else if (/Uncaught|ERROR|error:|Interrupted|MEMORY/.test(line)) this.complaints.push(line.trim());
    }
  }

  private fail(failure: Error): void {
    for (const one of this.waiting.splice(0)) one.reject(failure);
  }

  /** SIGKILL, because the interpreter ignores the gentler ones at its console. */
  private kill(): void {
    this.child.kill('SIGKILL');
  }
}
