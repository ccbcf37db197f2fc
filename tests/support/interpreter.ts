// The real interpreter, if one is given: ESPRUINO_BIN names a Linux build of Espruino 2v29, preceded by the
// program that runs it where needed ("qemu-i386 /path/espruino"). Programs run from its flash, as on a board:
// the image is kept in a folder of its own, where a restart finds it again.
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { InterpreterConsole } from './interpreterConsole';

const FLASH_BYTES = 262_144;
const NAME_BYTES = 28;
/** Command line of the interpreter under test; undefined if none is given. */
export const interpreterCommand: string | undefined = process.env.ESPRUINO_BIN || undefined;

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
 * A series of interpreter processes on the same flash. Always call `stop` at the end, even after a failure.
 */
export class Interpreter {
  private readonly folder = mkdtempSync(join(tmpdir(), 'nightproof-interpreter-'));
  private readonly atExit = (): void => this.kill();
  private readonly console = new InterpreterConsole((bytes) => this.write(bytes));
  private child: ChildProcessWithoutNullStreams;

  /**
   * Starts the interpreter on a flash that holds `files`. Boot order: `.boot0` to `.boot3`, `.bootcde`.
   * @throws Error when ESPRUINO_BIN is not set or the files do not fit.
   */
  constructor(files: { [name: string]: string }) {
    writeFileSync(join(this.folder, 'espruino.flash'), flashImage(files));
    process.on('exit', this.atExit);
    this.child = this.start();
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

  private write(bytes: string): void {
    if (this.child.exitCode !== null) this.console.fail(new Error('The interpreter has ended.'));
    else this.child.stdin.write(bytes, 'latin1');
  }

  private start(): ChildProcessWithoutNullStreams {
    if (!interpreterCommand) throw new Error('Set ESPRUINO_BIN to the interpreter to test with.');
    const [command, ...args] = interpreterCommand.split(' ');
    const child = spawn(command, args, { cwd: this.folder });
    child.stdout.setEncoding('latin1');
    child.stdout.on('data', (text: string) => this.console.read(text));
    child.stdin.on('error', () => {});
    child.on('error', (failure) => this.console.fail(failure));
    child.on('exit', (code, signal) => {
      if (child === this.child)
        this.console.fail(new Error(`The interpreter has ended (${signal ?? code}).`));
    });
    return child;
  }

  /** SIGKILL, because at its console the interpreter ignores gentler signals. */
  private kill(): void {
    this.child.kill('SIGKILL');
  }
}
