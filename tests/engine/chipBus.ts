// Carries the SPI bus of an interpreter (shims/spi.js) to a model of a chip in this process, over two named pipes:
// the interpreter waits for each answer, so the order is that of a bus, and no byte is lost.
import { execFileSync } from 'node:child_process';
import { closeSync, constants, openSync, writeSync } from 'node:fs';
import { Socket } from 'node:net';
import { join } from 'node:path';

/** Something on the bus, byte by byte. */
export interface SpiChip {
  select(level: number): void;
  exchange(byte: number): number;
}

const [SELECT_LOW, SELECT_HIGH] = [...Buffer.from('LH')];

export class ChipBus {
  private readonly answers: number;
  private readonly requests: Socket;
  private unread = Buffer.alloc(0);

  /** @param folder in which the interpreter runs */
  constructor(
    folder: string,
    private readonly chip: SpiChip,
  ) {
    const paths = ['to-chip', 'from-chip'].map((name) => join(folder, name));
    execFileSync('mkfifo', paths);
    // Open at both ends, so that neither side waits for the other.
    const [toChip, fromChip] = paths.map((path) => openSync(path, constants.O_RDWR | constants.O_NONBLOCK));
    this.answers = fromChip;
    this.requests = new Socket({ fd: toChip, readable: true, writable: false });
    this.requests.on('data', (bytes) => this.hear(bytes));
  }

  close(): void {
    this.requests.destroy();
    closeSync(this.answers);
  }

  private hear(bytes: Buffer): void {
    this.unread = Buffer.concat([this.unread, bytes]);
    for (let at = 0; ; ) {
      const kind = this.unread[at];
      const size = kind === SELECT_LOW || kind === SELECT_HIGH ? 1 : this.sizeAt(at);
      if (this.unread.length < at + size) {
        this.unread = this.unread.subarray(at);
        return;
      }
      if (size === 1) this.chip.select(kind === SELECT_HIGH ? 1 : 0);
      else this.exchange(this.unread.subarray(at + 3, at + size));
      at += size;
    }
  }

  /** Bytes of an exchange with its head; more than there are while its head is not there. */
  private sizeAt(at: number): number {
    return this.unread.length < at + 3 ? Number.POSITIVE_INFINITY : 3 + this.unread.readUInt16BE(at + 1);
  }

  private exchange(bytes: Buffer): void {
    writeSync(this.answers, Buffer.from(Array.from(bytes, (byte) => this.chip.exchange(byte))));
  }
}
