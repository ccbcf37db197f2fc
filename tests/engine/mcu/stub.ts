// A client of the emulator's gdb stub (GDB manual, appendix "GDB Remote Serial Protocol"): reads and writes
// memory while the machine is stopped. (Its watchpoints stop the machine before the write, for ever.)
import { connect, type Socket } from 'node:net';

export class Stub {
  private readonly socket: Socket;
  private text = '';
  private answer: ((text: string) => void) | undefined;
  private stopped: (() => void) | undefined;

  private constructor(socket: Socket) {
    this.socket = socket;
    socket.setEncoding('latin1');
    socket.on('data', (text: string) => this.read(text));
    socket.on('error', () => {});
  }

  /** Connects to the stub's socket file; the machine is stopped from then on. */
  static async open(path: string): Promise<Stub> {
    for (let tries = 0; ; tries++) {
      try {
        const socket = await new Promise<Socket>((resolve, reject) => {
          const one = connect(path, () => resolve(one));
          one.once('error', reject);
        });
        return new Stub(socket);
      } catch (failure) {
        if (tries > 400) throw failure;
        await new Promise((done) => setTimeout(done, 50));
      }
    }
  }

  async write(address: number, bytes: Buffer): Promise<void> {
    const said = await this.ask(
      `M${address.toString(16)},${bytes.length.toString(16)}:${bytes.toString('hex')}`,
    );
    if (said !== 'OK') throw new Error(`The emulator does not write to 0x${address.toString(16)}: ${said}`);
  }

  async readBytes(address: number, length: number): Promise<Buffer> {
    return Buffer.from(await this.ask(`m${address.toString(16)},${length.toString(16)}`), 'hex');
  }

  async word(address: number): Promise<number> {
    return (await this.readBytes(address, 4)).readUInt32LE(0);
  }

  /** Lets the machine run. */
  run(): void {
    this.send('c');
  }

  /** Stops the machine. */
  stop(): Promise<void> {
    const stopped = new Promise<void>((resolve) => {
      this.stopped = resolve;
    });
    this.socket.write('\x03');
    return stopped;
  }

  close(): void {
    this.socket.destroy();
  }

  private ask(text: string): Promise<string> {
    return new Promise((resolve) => {
      this.answer = resolve;
      this.send(text);
    });
  }

  private send(text: string): void {
    let sum = 0;
    for (const one of Buffer.from(text, 'latin1')) sum = (sum + one) & 255;
    this.socket.write(`$${text}#${sum.toString(16).padStart(2, '0')}`, 'latin1');
  }

  private read(text: string): void {
    this.text += text;
    for (;;) {
      const found = /\$([^#]*)#[0-9a-f]{2}/.exec(this.text);
      if (!found) return;
      this.text = this.text.slice(found.index + found[0].length);
      this.socket.write('+');
      const isStop = /^[TS]/.test(found[1]) && this.stopped !== undefined;
      const heard = isStop ? this.stopped : this.answer;
      if (isStop) this.stopped = undefined;
      else this.answer = undefined;
      heard?.(found[1]);
    }
  }
}
