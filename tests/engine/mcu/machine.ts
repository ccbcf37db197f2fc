// The emulated microcontroller (Debian's qemu-system-arm) with the firmware in its storage, joined to a broker:
// whatever it has to say, it stops for, so no byte is lost and its time stands still while others answer.
// Its clock counts instructions, 16 ns each.
import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { connect, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type FlashFiles, flashImage } from '../../support/interpreter';
import { InterpreterConsole } from '../../support/interpreterConsole';
import { Stub } from './stub';

const PROGRAM = fileURLToPath(new URL('../../../../shared/engine/mcu/stm32f405.elf', import.meta.url));
const SHIM = fileURLToPath(new URL('./shim.js', import.meta.url));
/** Whether the interpreter for the emulated microcontroller lies beside the checkout. */
export const hasMcu = existsSync(PROGRAM);

const STORAGE_BYTES = 98_304;
const STORAGE = 0x20018000;
/** Below the stack, above all variables: mailbox (shim.js), then what is filled to see how deep the stack goes. */
const BELL = 0x20010c00;
const STATE = BELL + 4;
const TEXT = BELL + 8;
const STACK_FROM = 0x20011000;
const STACK_TO = STORAGE;
const FILLING = 0xa5;
const FILL_BYTES = 1024;
/** Longest piece of received data that the interpreter hands over on an ESP32; the mailbox holds more. */
const PIECE_BYTES = 536;
/** How long the broker may take to answer while the machine stands still, ms. */
const SETTLE_MS = 40;

const enum Entry {
  Question = 0,
  Data = 1,
  Opened = 2,
  Closed = 3,
}

/** Boot code that goes in front of the firmware. Comments and indents would take its storage. */
export function shimText(): string {
  return readFileSync(SHIM, 'latin1')
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => !/^(\/\/|\/\*\*|$)/.test(line))
    .join('\n');
}

export class Machine {
  readonly console = new InterpreterConsole((question) => this.queue(Entry.Question, question));
  private readonly folder = mkdtempSync(join(tmpdir(), 'nightproof-mcu-'));
  private readonly atExit = (): void => this.kill();
  private child: ChildProcess | undefined;
  private stub: Stub | undefined;
  private socket: Socket | undefined;
  private unread = Buffer.alloc(0);
  private readonly waiting: { entry: Entry; text: string }[] = [];
  private isOver = false;
  /** Times that the machine has rung and waits for the bell to be silenced. */
  private rings = 0;
  /** The mailbox holds something that has not been taken. */
  private isFull = false;
  private wake: (() => void) | undefined;

  constructor(private readonly brokerPort: number) {
    process.on('exit', this.atExit);
  }

  async start(files: FlashFiles): Promise<void> {
    const image = join(this.folder, 'storage.img');
    const gdb = join(this.folder, 'gdb');
    writeFileSync(image, flashImage(files, STORAGE_BYTES));
    const child = spawn('qemu-system-arm', [
      ...['-M', 'netduinoplus2', '-nographic', '-monitor', 'none', '-serial', 'stdio'],
      ...['-icount', 'shift=4,sleep=off', '-kernel', PROGRAM, '-S'],
      ...['-gdb', `unix:${gdb},server=on,wait=off`],
      ...['-device', `loader,file=${image},addr=0x${STORAGE.toString(16)},force-raw=on`],
    ]);
    this.child = child;
    child.on('exit', () => {
      this.isOver = true;
      this.wake?.();
    });
    child.stdout.on('data', (bytes: Buffer) => this.hear(bytes));
    this.stub = await Stub.open(gdb);
    for (let at = STACK_FROM; at < STACK_TO; at += FILL_BYTES)
      await this.stub.write(at, Buffer.alloc(FILL_BYTES, FILLING));
    await this.stub.write(BELL, Buffer.alloc(8));
  }

  /** Runs the machine until a condition holds, checked whenever it has something to say. */
  async until(holds: () => boolean): Promise<void> {
    const stub = this.stub as Stub;
    while (!holds()) {
      await this.deliver();
      stub.run();
      if (this.rings === 0 && !this.mayDeliver()) await this.event();
      const { complaints } = this.console;
      if (this.isOver || complaints.length > 0)
        throw new Error(
          `${this.isOver ? 'The emulator has ended' : 'The interpreter complains'}. ${complaints.join(' ')}`,
        );
      await stub.stop();
      if (this.rings === 0) continue;
      this.rings--;
      await this.poll(() => this.waiting.length > 0, SETTLE_MS);
      await stub.write(BELL, Buffer.alloc(4));
    }
  }

  /** Value of an expression in the machine, which runs until it has answered. */
  async ask<T>(expression: string): Promise<T> {
    let isDone = false;
    const value = this.console.ask<T>(expression).finally(() => {
      isDone = true;
    });
    value.catch(() => {});
    await this.poll(() => this.waiting.length > 0, SETTLE_MS);
    await this.until(() => isDone);
    return value;
  }

  /** Bytes of the stack that were ever used. */
  async deepestStack(): Promise<number> {
    for (let at = STACK_FROM; at < STACK_TO; at += FILL_BYTES) {
      const bytes = await (this.stub as Stub).readBytes(at, FILL_BYTES);
      const used = bytes.findIndex((byte) => byte !== FILLING);
      if (used >= 0) return STACK_TO - at - used;
    }
    return 0;
  }

  close(): void {
    this.kill();
    this.stub?.close();
    this.socket?.destroy();
    process.off('exit', this.atExit);
    rmSync(this.folder, { recursive: true, force: true });
  }

  private event(): Promise<void> {
    return new Promise((resolve) => {
      this.wake = resolve;
    });
  }

  private ring(): void {
    this.rings++;
    this.wake?.();
  }

  private mayDeliver(): boolean {
    return this.waiting.length > 0 && !this.isFull;
  }

  private async poll(holds: () => boolean, limitMs: number): Promise<void> {
    for (let ms = 0; ms < limitMs && !holds(); ms += 2) await new Promise((done) => setTimeout(done, 2));
  }

  /** Hands the next piece over, if the last one has been taken. */
  private async deliver(): Promise<void> {
    const stub = this.stub as Stub;
    if (!this.mayDeliver()) return;
    this.isFull = true;
    const { entry, text } = this.waiting.shift() as { entry: Entry; text: string };
    const bytes = Buffer.from(text, 'latin1');
    if (bytes.length > 0) await stub.write(TEXT, bytes);
    const state = Buffer.alloc(4);
    // A length of 0 would look like an empty mailbox.
    state.writeUInt32LE(entry * 65_536 + Math.max(1, bytes.length));
    await stub.write(STATE, state);
  }

  private queue(entry: Entry, text: string): void {
    this.waiting.push({ entry, text });
    if (this.mayDeliver()) this.wake?.();
  }

  /** What the machine prints: text, and after `0x02 W <count>` and a line end so many bytes for the broker. */
  private hear(bytes: Buffer): void {
    this.unread = Buffer.concat([this.unread, bytes]);
    for (;;) {
      const end = this.unread.indexOf('\n');
      if (end < 0) return;
      const line = this.unread.toString('latin1', 0, end + 1);
      const mark = line.indexOf('\x02');
      const said = mark < 0 ? '' : line.slice(mark + 1);
      const size = said[0] === 'W' ? Number(said.slice(2)) : 0;
      if (this.unread.length < end + 1 + size) return;
      if (said[0] === 'W') this.socket?.write(this.unread.subarray(end + 1, end + 1 + size));
      else if (said[0] === 'O') this.connect();
      else if (said[0] === 'T') this.isFull = false;
      else this.console.read(line);
      if (this.console.complaints.length > 0) this.wake?.();
      if (/^[WOT]/.test(said)) this.ring();
      this.unread = this.unread.subarray(end + 1 + size);
    }
  }

  private connect(): void {
    const socket = connect(this.brokerPort, '127.0.0.1', () => this.queue(Entry.Opened, ''));
    socket.on('data', (bytes: Buffer) => {
      for (let at = 0; at < bytes.length; at += PIECE_BYTES)
        this.queue(Entry.Data, bytes.toString('latin1', at, Math.min(bytes.length, at + PIECE_BYTES)));
    });
    socket.on('close', () => {
      if (socket === this.socket) this.queue(Entry.Closed, '');
    });
    socket.on('error', () => {});
    this.socket = socket;
  }

  private kill(): void {
    this.child?.kill('SIGKILL');
  }
}
