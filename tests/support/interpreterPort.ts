// The interpreter at the end of a serial port: a board's own port named by ESPRUINO_PORT, or a
// pseudo-terminal (socat's) with the interpreter of ESPRUINO_BIN behind it. The tests cannot tell the
// difference.
import { type ChildProcessWithoutNullStreams, spawn, spawnSync } from 'node:child_process';
import { closeSync, constants, mkdtempSync, openSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { interpreterCommand } from './interpreter';
import { InterpreterConsole } from './interpreterConsole';

const UPLOADER = fileURLToPath(new URL('./interpreterUpload.mjs', import.meta.url));
const UPLOAD_MS = 300_000;
const OPEN_TRIES = 40;
const RETRY_MS = 250;

/** The part of the package `serialport` that is used; it comes with `espruino` and has no types here. */
interface SerialPort {
  on(event: 'data', listener: (bytes: Buffer) => void): void;
  write(bytes: Buffer): void;
  close(done: () => void): void;
}
interface SerialPorts {
  SerialPort: new (
    options: { path: string; baudRate: number; xon: boolean },
    opened: (failure: Error | null) => void,
  ) => SerialPort;
}

const resolver = createRequire(createRequire(import.meta.url).resolve('espruino'));

export const boardPort: string | undefined = process.env.ESPRUINO_PORT || undefined;
const boardBaud = Number(process.env.ESPRUINO_BAUD || 115_200);

export const pause = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms));

/** A pseudo-terminal that stays while the interpreter behind it comes and goes, like a board's port. */
class Pseudo {
  private readonly folder = mkdtempSync(join(tmpdir(), 'nightproof-port-'));
  private readonly socat = spawn('socat', ['-d', '-d', 'PTY,rawer', 'STDIO']);
  private readonly atExit = (): void => this.kill();
  private child: ChildProcessWithoutNullStreams | undefined;
  private held = -1;
  /** Why the interpreter is no longer running. */
  failure: Error | undefined;

  /** `ended` is called when the interpreter exits unexpectedly. */
  constructor(private readonly ended: (failure: Error) => void) {}

  async open(): Promise<string> {
    process.on('exit', this.atExit);
    const path = await new Promise<string>((resolve, reject) => {
      this.socat.on('error', () =>
        reject(new Error('socat is missing: install it by apt-get install socat.')),
      );
      this.socat.stderr.setEncoding('latin1');
      this.socat.stderr.on('data', (text: string) => {
        const found = /PTY is (\S+)/.exec(text);
        if (found) resolve(found[1]);
      });
    });
    // The terminal disappears when nothing holds it open, and the tests close it in between.
    this.held = openSync(path, constants.O_RDWR | constants.O_NOCTTY);
    this.socat.stdout.on('data', (bytes: Buffer) => this.child?.stdin.write(bytes));
    this.start();
    return path;
  }

  /** RAM is lost, flash stays. */
  async powerCut(): Promise<void> {
    const child = this.child;
    if (child && child.exitCode === null && child.signalCode === null) {
      const gone = new Promise((resolve) => child.once('exit', resolve));
      child.kill('SIGKILL');
      await gone;
    }
    this.start();
  }

  close(): void {
    this.kill();
    process.off('exit', this.atExit);
    if (this.held >= 0) closeSync(this.held);
    rmSync(this.folder, { recursive: true, force: true });
  }

  private start(): void {
    const [command, ...args] = (interpreterCommand ?? '').split(' ');
    const child = spawn(command, args, { cwd: this.folder });
    child.stdin.on('error', () => {});
    const ended = (failure: Error): void => {
      if (child !== this.child) return;
      this.failure = failure;
      this.ended(failure);
    };
    this.failure = undefined;
    child.on('error', ended);
    child.on('exit', (code, signal) => {
      if (signal !== 'SIGKILL') ended(new Error(`The interpreter has ended (${signal ?? code}).`));
    });
    child.stdout.on('data', (bytes: Buffer) => this.socat.stdin.write(bytes));
    this.child = child;
  }

  private kill(): void {
    this.child?.kill('SIGKILL');
    this.socat.kill('SIGKILL');
  }
}

/** An interpreter reached over a serial port. Always call `close` at the end, even after a failure. */
export class PortInterpreter {
  readonly console = new InterpreterConsole((bytes) => this.port?.write(Buffer.from(bytes, 'latin1')));
  /** Undefined for a board. */
  private readonly pseudo = interpreterCommand
    ? new Pseudo((failure) => this.console.fail(failure))
    : undefined;
  private port: SerialPort | undefined;
  private path = boardPort ?? '';

  /** Opens the port; resolves once the interpreter has answered. */
  async open(): Promise<void> {
    if (this.pseudo) this.path = await this.pseudo.open();
    await this.connect();
  }

  /** See InterpreterConsole; fails at once if the interpreter has ended. */
  ask<T>(expression: string, timeoutMs?: number): Promise<T> {
    const failure = this.pseudo?.failure;
    if (failure) return Promise.reject(failure);
    return this.console.ask<T>(expression, timeoutMs);
  }

  /** Sends bytes as they are. */
  type(bytes: string): void {
    this.port?.write(Buffer.from(bytes, 'latin1'));
  }

  /**
   * Uploads a file with the npm package `espruino`, as boot code or under a name of its own.
   * @throws Error with the tool's message.
   */
  async upload(file: string, name = ''): Promise<void> {
    await this.disconnect();
    const run = spawn(process.execPath, [UPLOADER, this.path, String(boardBaud), file, name]);
    let words = '';
    const heard = (text: Buffer): void => {
      words += text;
    };
    run.stdout.on('data', heard);
    run.stderr.on('data', heard);
    const timer = setTimeout(() => run.kill('SIGKILL'), UPLOAD_MS);
    const code = await new Promise((resolve) => run.once('exit', resolve));
    clearTimeout(timer);
    if (code !== 0) throw new Error(`${file} could not be uploaded: ${words.trim()}`);
    await this.connect();
  }

  /** Restarts from flash: the interpreter is killed, a board is asked to reset. */
  async powerCut(): Promise<void> {
    if (this.pseudo) await this.pseudo.powerCut();
    else this.type('\x03\x10E.reboot()\n');
    await this.disconnect();
    await this.connect();
  }

  /**
   * Waits for a board whose own watchdog resets it; an interpreter without hardware is killed here instead.
   */
  async watchdogReset(): Promise<void> {
    if (this.pseudo) return this.powerCut();
    await this.disconnect();
    await this.connect();
  }

  async close(): Promise<void> {
    await this.disconnect();
    this.pseudo?.close();
  }

  private async connect(): Promise<void> {
    for (let tries = OPEN_TRIES; ; tries--) {
      try {
        this.port = await this.openPort();
        return await this.greet();
      } catch (failure) {
        await this.disconnect();
        if (this.pseudo?.failure) throw this.pseudo.failure;
        if (tries <= 0) throw failure;
        await pause(RETRY_MS);
      }
    }
  }

  private openPort(): Promise<SerialPort> {
    const { SerialPort } = resolver('serialport') as SerialPorts;
    return new Promise((resolve, reject) => {
      const options = { path: this.path, baudRate: boardBaud, xon: true };
      const port = new SerialPort(options, (failure) => (failure ? reject(failure) : resolve(port)));
      port.on('data', (bytes) => this.console.read(bytes.toString('latin1')));
    });
  }

  /** Waits until the interpreter answers; anything it says before belongs to an earlier question. */
  private async greet(): Promise<void> {
    this.type('\n');
    const word = String(process.hrtime.bigint());
    if ((await this.console.ask(`"${word}"`, 3000)) !== word) throw new Error('The interpreter is confused.');
  }

  private async disconnect(): Promise<void> {
    const port = this.port;
    this.port = undefined;
    if (port) await new Promise<void>((done) => port.close(done));
    this.console.fail(new Error('The port was closed.'));
  }
}

/** Whether a Debian program is installed. */
export function hasSocat(): boolean {
  return spawnSync('socat', ['-V'], { stdio: 'ignore' }).status === 0;
}
