// The real interpreter on this machine: a Linux build of Espruino 2v29. It lies beside the checkout, or
// ESPRUINO_BIN names it, preceded by the program that runs it where needed ("qemu-i386 /path/espruino").
// Programs run from its flash, as on a board: the image is kept in a folder of its own, where a restart finds
// it again. Questions go in by a file (interpreterDoor.js), and what it prints comes by a pipe: neither
// loses a byte, however busy the machine is.
import { type ChildProcessWithoutNullStreams, spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { InterpreterConsole } from './interpreterConsole';

const FLASH_BYTES = 262_144;
const NAME_BYTES = 28;
/** Where the interpreters lie; a stranger's clone has none. */
const BESIDE = fileURLToPath(new URL('../../../shared/engine', import.meta.url));
const DOOR = readFileSync(fileURLToPath(new URL('./interpreterDoor.js', import.meta.url)), 'latin1');

/** A 32-bit program on a kernel that runs only 64-bit ones goes through Debian's emulator. */
function runnable(program: string): string {
  const said = spawnSync(program, ['--help'], { encoding: 'latin1', input: '' });
  return said.stdout?.includes('espruino') || said.stderr?.includes('espruino')
    ? program
    : `qemu-i386 ${program}`;
}

function beside(): string | undefined {
  const program = join(BESIDE, 'bin/interpreter-5100');
  return existsSync(program) ? runnable(program) : undefined;
}

/** Command line of the interpreter under test; undefined if there is none. */
export const interpreterCommand: string | undefined = process.env.ESPRUINO_BIN || beside();

/** Printed, once a file, where tests on the interpreter are skipped. */
export const NO_INTERPRETER =
  'Skipped: there is no interpreter in ../shared/engine beside this folder, and ESPRUINO_BIN names none.';

/** Names, in one sentence, a file in ESPRUINO_BIN that does not exist; undefined when all is well. */
export function misnamedInterpreter(): string | undefined {
  const gone = interpreterCommand?.split(' ').find((part) => part.includes('/') && !existsSync(part));
  return gone && `ESPRUINO_BIN names ${gone}, but there is no such file: give the path of the interpreter.`;
}

export interface Memory {
  usage: number;
  free: number;
  total: number;
}

/** What lies in the interpreter's flash, by name. Boot order: `.boot0` to `.boot3`, `.bootcde`. */
export interface FlashFiles {
  [name: string]: string;
}

/** Flash as the interpreter lays it out: size, name padded to 28 bytes, data, each file on a word boundary. */
export function flashImage(files: FlashFiles, bytes = FLASH_BYTES): Buffer {
  const image = Buffer.alloc(bytes, 0xff);
  let offset = 0;
  for (const [name, text] of Object.entries(files)) {
    const data = Buffer.from(text, 'latin1');
    const end = offset + 4 + NAME_BYTES + data.length;
    if (name.length > NAME_BYTES || end > bytes)
      throw new Error(`${name} does not fit into the interpreter's flash of ${bytes} bytes.`);
    image.writeUInt32LE(data.length, offset);
    image.fill(0, offset + 4, offset + 4 + NAME_BYTES);
    image.write(name, offset + 4, 'latin1');
    data.copy(image, offset + 4 + NAME_BYTES);
    offset = (end + 3) & ~3;
  }
  return image;
}

/** A series of interpreter processes on the same flash. Always call `close` at the end, even after a failure. */
export class Interpreter {
  readonly console = new InterpreterConsole((question) => this.hand(question));
  /** Where it runs: its flash lies here, and it finds files by their names. */
  readonly folder = mkdtempSync(join(tmpdir(), 'nightproof-interpreter-'));
  private readonly atExit = (): void => this.kill();
  private child: ChildProcessWithoutNullStreams | undefined;

  constructor() {
    process.on('exit', this.atExit);
  }

  /** Complaints the interpreter has printed since the first start. */
  get complaints(): string[] {
    return this.console.complaints;
  }

  /** Value of a JavaScript expression: see InterpreterConsole. */
  ask<T>(expression: string, timeoutMs?: number): Promise<T> {
    return this.console.ask<T>(expression, timeoutMs);
  }

  /** Memory cells in use and free, after a garbage collection. */
  memory(): Promise<Memory> {
    return this.ask<Memory>('process.memory(true)');
  }

  /**
   * Starts the interpreter on a flash that holds these files and nothing else, behind the door of the tests.
   * @throws Error when there is no interpreter or the files do not fit.
   */
  async install(files: FlashFiles): Promise<void> {
    await this.end();
    const image = flashImage({ ...files, '.boot0': DOOR + (files['.boot0'] ?? '') });
    writeFileSync(join(this.folder, 'espruino.flash'), image);
    this.start();
  }

  /** Cuts the power (no shutdown code runs) and starts again from flash. */
  async powerCut(): Promise<void> {
    await this.end();
    this.start();
  }

  /** There is no watchdog: its reset is a power cut. */
  watchdogReset(): Promise<void> {
    return this.powerCut();
  }

  /** Types at the interpreter's console, which may lose bytes: for a single one. */
  type(bytes: string): void {
    this.child?.stdin.write(bytes, 'latin1');
  }

  /** Ends the process and removes its flash. */
  async close(): Promise<void> {
    await this.end();
    process.off('exit', this.atExit);
    rmSync(this.folder, { recursive: true, force: true });
  }

  /** Whole or not at all, because the interpreter looks for it at any moment. */
  private hand(question: string): void {
    if (!this.child || this.child.exitCode !== null) {
      this.console.fail(new Error('The interpreter has ended.'));
      return;
    }
    const file = join(this.folder, 'question');
    writeFileSync(`${file}.new`, question, 'latin1');
    renameSync(`${file}.new`, file);
  }

  private start(): void {
    if (!interpreterCommand) throw new Error('Set ESPRUINO_BIN to the interpreter to test with.');
    rmSync(join(this.folder, 'question'), { force: true });
    const [command, ...args] = interpreterCommand.split(' ');
    const child = spawn(command, args, { cwd: this.folder });
    child.stdout.setEncoding('latin1');
    child.stdout.on('data', (text: string) => {
      if (child === this.child) this.console.read(text);
    });
    child.stdin.on('error', () => {});
    child.on('error', (failure) => this.console.fail(failure));
    child.on('exit', (code, signal) => {
      if (child === this.child)
        this.console.fail(new Error(`The interpreter has ended (${signal ?? code}).`));
    });
    this.child = child;
  }

  private async end(): Promise<void> {
    const child = this.child;
    this.child = undefined;
    this.console.fail(new Error('The interpreter was ended.'));
    if (!child || child.exitCode !== null || child.signalCode !== null) return;
    const gone = new Promise((resolve) => child.once('exit', resolve));
    child.kill('SIGKILL');
    await gone;
  }

  /** SIGKILL, because at its console the interpreter ignores gentler signals. */
  private kill(): void {
    this.child?.kill('SIGKILL');
  }
}
