// The interpreter at the end of a serial port: a board's own port named by ESPRUINO_PORT, or a
// pseudo-terminal (socat's) with the interpreter of this machine behind it. Such a port loses bytes, so every
// question carries its checksum and is sent again until it has arrived whole, and every file is read back.
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import { closeSync, constants, mkdtempSync, openSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { crc32 } from '../../firmware/journal/crc32';
import { type FlashFiles, interpreterCommand, type Memory } from './interpreter';
import { InterpreterConsole } from './interpreterConsole';

const UPLOADER = fileURLToPath(new URL('./interpreterUpload.mjs', import.meta.url));
const UPLOAD_MS = 300_000;
const OPEN_TRIES = 60;
const GREET_MS = 5000;
const RETRY_MS = 250;
/** Times that a question is asked anew while files are installed, and the pause before, ms. */
const INTERRUPTED_TRIES = 20;
const INTERRUPTED_MS = 1000;
/** Longest wait for an answer then: a line that was lost in the port may have taken the answerer with it. */
const INSTALLING_MS = 40_000;
/** A question that has no answer by then is sent again; one still being answered is not answered twice. */
const AGAIN_MS = 8000;
/** Bytes of a file written or read by one question: with what surrounds it, less than a board's input buffer. */
const PIECE_BYTES = 120;

/**
 * What the console is taught first: `$(checksum, question)` answers as InterpreterConsole expects. It asks for
 * a damaged question again, and answers a question that comes again without asking itself again.
 */
const ANSWERER =
  '\x10function $(c,t){if(E.CRC32(t)!=c)return print("\\x02?");if($.c!=c){$.c=c;' +
  'try{$.a=JSON.stringify(eval(t))}catch(e){$.a=JSON.stringify(""+e)}}' +
  'print("\\x02="+c+" "+E.CRC32($.a)+" "+$.a)}\n';

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
  readonly console = new InterpreterConsole((question) => this.hand(question));
  /** Undefined for a board. */
  private readonly pseudo = boardPort ? undefined : new Pseudo((failure) => this.console.fail(failure));
  private readonly folder = mkdtempSync(join(tmpdir(), 'nightproof-upload-'));
  private port: SerialPort | undefined;
  private path = boardPort ?? '';
  private again: NodeJS.Timeout | undefined;
  private isInstalling = false;

  get complaints(): string[] {
    return this.console.complaints;
  }

  /**
   * See InterpreterConsole; fails at once if the interpreter has ended. While files are installed no program runs
   * that an interruption or a restart could harm, so a question is asked anew: the tool breaks in with Ctrl-C where a
   * busy machine gives it no prompt within half a second, and some of that arrives late.
   */
  async ask<T>(expression: string, timeoutMs?: number): Promise<T> {
    if (!this.isInstalling) return this.once<T>(expression, timeoutMs);
    for (let tries = INTERRUPTED_TRIES; ; tries--) {
      try {
        return await this.once<T>(expression, INSTALLING_MS);
      } catch (failure) {
        const isLost = /^Error: No answer/.test(String(failure));
        if (tries <= 0 || !(isLost || /Execution Interrupted/.test(String(failure)))) throw failure;
        if (isLost) await this.powerCut();
        else await pause(INTERRUPTED_MS);
      }
    }
  }

  private async once<T>(expression: string, timeoutMs?: number): Promise<T> {
    const failure = this.pseudo?.failure;
    if (failure) throw failure;
    try {
      return await this.console.ask<T>(expression, timeoutMs);
    } finally {
      clearInterval(this.again);
    }
  }

  memory(): Promise<Memory> {
    return this.ask<Memory>('process.memory(true)');
  }

  /** Sends bytes as they are. */
  type(bytes: string): void {
    this.port?.write(Buffer.from(bytes, 'latin1'));
  }

  /**
   * Replaces the firmware's files with these, sent by the npm package `espruino` as a technician would, reads
   * each back, mends what differs, and starts anew. What is there already is not sent again.
   */
  async install(files: FlashFiles): Promise<void> {
    if (!this.port) await this.open();
    this.isInstalling = true;
    await this.clear(Object.keys(files));
    for (const [name, text] of Object.entries(files)) {
      if (await this.holds(name, text)) continue;
      // The tool sends programs only.
      if (name.startsWith('.boot')) await this.upload(name, text);
      if (!(await this.holds(name, text))) await this.write(name, text);
    }
    this.isInstalling = false;
    this.complaints.length = 0;
    await this.powerCut();
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
    rmSync(this.folder, { recursive: true, force: true });
  }

  /** A file's bytes in flash. */
  async read(name: string): Promise<string> {
    const storage = `require("Storage").read(${JSON.stringify(name)}`;
    const size = await this.ask<number>(`(${storage})||"").length`);
    let text = '';
    while (text.length < size)
      text += await this.ask<string>(`${storage},${text.length},${4 * PIECE_BYTES})`);
    return text;
  }

  private hand(question: string): void {
    clearInterval(this.again);
    const send = (): void => this.type(`\x10$(${crc32(question)},${JSON.stringify(question)})\n`);
    this.again = setInterval(send, AGAIN_MS);
    send();
  }

  private async open(): Promise<void> {
    if (this.pseudo) this.path = await this.pseudo.open();
    await this.connect();
  }

  /** Whether a file in flash has this content. The tool puts a newline in front of boot code. */
  private async holds(name: string, text: string): Promise<boolean> {
    const stored = `require("Storage").read(${JSON.stringify(name)})||""`;
    const found = await this.ask<number>(`E.CRC32(${stored})`);
    return found === crc32(text) || found === crc32(`\n${text}`);
  }

  /** Removes everything that earlier runs left behind, except these files. */
  private async clear(kept: string[]): Promise<void> {
    const names = await this.ask<string[]>('require("Storage").list()');
    for (const name of names.filter((name) => /^(np\.|\.boot)/.test(name) && !kept.includes(name)))
      await this.ask(`require("Storage").erase(${JSON.stringify(name)})`);
    await this.ask('require("Storage").compact()');
    await this.powerCut();
  }

  /** Writes a file in pieces, each with its checksum. */
  private async write(name: string, text: string): Promise<void> {
    const storage = `require("Storage").write(${JSON.stringify(name)}`;
    await this.ask(`require("Storage").erase(${JSON.stringify(name)})`);
    for (let at = 0; at < text.length; at += PIECE_BYTES) {
      const piece = Buffer.from(text.slice(at, at + PIECE_BYTES), 'latin1').toString('base64');
      await this.ask(`${storage},atob("${piece}"),${at},${text.length})`);
    }
    if ((await this.read(name)) !== text) throw new Error(`${name} cannot be written.`);
  }

  private async upload(name: string, text: string): Promise<void> {
    const file = join(this.folder, 'file');
    writeFileSync(file, text, 'latin1');
    await this.disconnect();
    const stored = name === '.bootcde' ? '' : name;
    const run = spawn(process.execPath, [UPLOADER, this.path, String(boardBaud), file, stored]);
    let words = '';
    const heard = (text: Buffer): void => {
      words += text;
    };
    run.stdout.on('data', heard);
    run.stderr.on('data', heard);
    const timer = setTimeout(() => run.kill('SIGKILL'), UPLOAD_MS);
    const code = await new Promise((resolve) => run.once('exit', resolve));
    clearTimeout(timer);
    if (code !== 0) throw new Error(`${name} could not be uploaded: ${words.trim()}`);
    await this.connect();
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

  /** Teaches the console to answer; what it says before belongs to an earlier question. */
  private async greet(): Promise<void> {
    this.type(`\n${ANSWERER}`);
    const word = String(process.hrtime.bigint());
    if ((await this.once(`"${word}"`, GREET_MS)) !== word) throw new Error('The interpreter is confused.');
  }

  private async disconnect(): Promise<void> {
    clearInterval(this.again);
    const port = this.port;
    this.port = undefined;
    if (port) await new Promise<void>((done) => port.close(done));
    this.console.fail(new Error('The port was closed.'));
  }
}
