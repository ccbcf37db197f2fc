// A W5500 at the level of bytes on SPI, after WIZnet's data sheet of that name, version 1.1.0, 2.2, 4.1 and 4.2 (from
// memory): frames, registers, commands, buffers of 2 kB with pointers that run on past 65,535. Its TCP is a real
// connection to this machine. Where the data sheet leaves it open, it is unkind: a command takes a while, a size
// may be read while it changes, pointers begin near their end.
import { connect, type Socket } from 'node:net';

const SOCKET = { mode: 0, command: 1, interrupt: 2, status: 3, peer: 0x0c, peerPort: 0x10 };
const SIZE = { txFree: 0x20, txRead: 0x22, txWrite: 0x24, rxSize: 0x26, rxRead: 0x28, rxWrite: 0x2a };
const BUFFER_BYTES = 2048;
/** Close to the end, so that every pointer runs over within the first packet. */
const POINTER = 0xfff0;
const ADDRESS = 0x0f;
const PHY = 0x2e;
const VERSION = 0x39;

export interface Datagram {
  to: string;
  port: number;
  /** The chip's own address when it was sent. */
  from: string;
  bytes: Buffer;
}

class ChipSocket {
  readonly registers = Buffer.alloc(0x30);
  readonly tx = Buffer.alloc(BUFFER_BYTES);
  readonly rx = Buffer.alloc(BUFFER_BYTES);
  link: Socket | undefined;
  /** Arrived, but the buffer has no room yet. */
  pending = Buffer.alloc(0);
  /** Reads of the command register that still show the last command. */
  busy = 0;
  /** A size that is read while it changes: its first byte is still the old one. */
  torn = -1;

  get(at: number): number {
    return this.registers.readUInt16BE(at);
  }

  set(at: number, value: number): void {
    this.registers.writeUInt16BE(value & 0xffff, at);
  }

  receive(): void {
    const room = BUFFER_BYTES - this.get(SIZE.rxSize);
    const now = this.pending.subarray(0, room);
    this.pending = this.pending.subarray(now.length);
    if (now.length === 0) return;
    const at = this.get(SIZE.rxWrite);
    now.forEach((byte, i) => {
      this.rx[(at + i) % BUFFER_BYTES] = byte;
    });
    this.set(SIZE.rxWrite, at + now.length);
    this.torn = this.registers[SIZE.rxSize];
    this.set(SIZE.rxSize, this.get(SIZE.rxSize) + now.length);
    this.registers[SOCKET.interrupt] |= 4;
  }
}

const dotted = (bytes: Buffer): string => [...bytes].join('.');

export class W5500 {
  /** What the bus reads instead of a chip: a module that is missing or dead. */
  dead: 0xff | 0 | undefined;
  isPlugged = true;
  /** Datagrams it has sent. */
  readonly datagrams: Datagram[] = [];
  onDatagram: (datagram: Datagram) => void = () => {};
  /** SPI bytes and socket commands since the last `count`. */
  private bytes = 0;
  private commands = 0;
  readonly common = Buffer.alloc(0x40);
  private sockets: ChipSocket[] = [];
  private frame: number[] = [];
  private isSelected = false;

  constructor() {
    this.reset();
  }

  /** Also what a dip of its supply does. */
  reset(): void {
    for (const { link } of this.sockets) link?.destroy();
    this.common.fill(0);
    this.common[VERSION] = 4;
    this.sockets = Array.from({ length: 8 }, () => new ChipSocket());
  }

  count(): { bytes: number; commands: number } {
    const counted = { bytes: this.bytes, commands: this.commands };
    this.bytes = 0;
    this.commands = 0;
    return counted;
  }

  /** Its own address, dotted. */
  address(): string {
    return dotted(this.common.subarray(ADDRESS, ADDRESS + 4));
  }

  mac(): Buffer {
    return this.common.subarray(9, 15);
  }

  select(level: number): void {
    this.isSelected = level === 0;
    this.frame = [];
  }

  /** Eight clocks. @returns the data output */
  exchange(byte: number): number {
    this.bytes++;
    if (this.dead !== undefined) return this.dead;
    if (!this.isSelected) return 0xff;
    this.frame.push(byte);
    if (this.frame.length <= 3) return this.frame.length;
    const [high, low, control] = this.frame;
    const at = (high * 256 + low + this.frame.length - 4) & 0xffff;
    if (control & 4) this.write(control >> 3, at, byte);
    return control & 4 ? 0 : this.read(control >> 3, at);
  }

  private read(block: number, at: number): number {
    if (block === 0) return at === PHY ? (this.isPlugged ? 0xbf : 0xb8) : (this.common[at] ?? 0);
    const s = this.sockets[block >> 2];
    if ((block & 3) === 2) return s.tx[at % BUFFER_BYTES];
    if ((block & 3) === 3) return s.rx[at % BUFFER_BYTES];
    if (at === SOCKET.command) return s.busy-- > 0 ? 1 : 0;
    if (at === SIZE.rxSize && s.torn >= 0) {
      const { torn } = s;
      s.torn = -1;
      return torn;
    }
    return s.registers[at] ?? 0;
  }

  private write(block: number, at: number, byte: number): void {
    const s = this.sockets[block >> 2];
    if (block === 0) {
      if (at === 0 && byte & 0x80) this.reset();
      else if (at < 0x2d) this.common[at] = byte;
    } else if ((block & 3) === 2) s.tx[at % BUFFER_BYTES] = byte;
    else if (at === SOCKET.interrupt) s.registers[at] &= ~byte;
    else if (at === SOCKET.command) this.execute(s, byte);
    else s.registers[at] = byte;
  }

  private execute(s: ChipSocket, command: number): void {
    if (s.busy > 0) throw new Error(`Command ${command} while the one before it is being carried out`);
    this.commands++;
    s.busy = 1;
    if (command === 0x01) this.open(s);
    else if (command === 0x04) this.connect(s);
    else if (command === 0x08) s.link?.end();
    else if (command === 0x10) this.close(s);
    else if (command === 0x20) this.send(s);
    else if (command === 0x40) {
      s.set(SIZE.rxSize, s.get(SIZE.rxWrite) - s.get(SIZE.rxRead));
      s.receive();
    }
  }

  private open(s: ChipSocket): void {
    if (s.registers[SOCKET.status] !== 0) throw new Error('A socket is opened that is not closed');
    for (const at of [SIZE.txRead, SIZE.txWrite, SIZE.rxRead, SIZE.rxWrite]) s.set(at, POINTER);
    s.set(SIZE.rxSize, 0);
    s.set(SIZE.txFree, BUFFER_BYTES);
    s.pending = Buffer.alloc(0);
    s.registers[SOCKET.status] = s.registers[SOCKET.mode] === 1 ? 0x13 : 0x22;
  }

  private close(s: ChipSocket): void {
    s.link?.destroy();
    s.link = undefined;
    s.registers[SOCKET.status] = 0;
  }

  private connect(s: ChipSocket): void {
    if (s.registers[SOCKET.status] !== 0x13) throw new Error('CONNECT on a socket that is not open');
    s.registers[SOCKET.status] = 0x15;
    // Without a cable nobody answers; the chip gives up after half a minute, long after the link has.
    if (!this.isPlugged || this.address() === '0.0.0.0') return;
    const link = connect(s.get(SOCKET.peerPort), dotted(s.registers.subarray(SOCKET.peer, SOCKET.peer + 4)));
    s.link = link;
    const isMine = () => s.link === link;
    link.on('connect', () => {
      if (!isMine()) return;
      s.registers[SOCKET.status] = 0x17;
      s.registers[SOCKET.interrupt] |= 1;
    });
    link.on('data', (bytes) => {
      if (!isMine()) return;
      s.pending = Buffer.concat([s.pending, bytes]);
      s.receive();
    });
    link.on('end', () => {
      if (isMine()) s.registers[SOCKET.status] = 0x1c;
    });
    link.on('error', () => link.destroy());
    link.on('close', (isBroken) => {
      if (!isMine()) return;
      s.link = undefined;
      if (isBroken || s.registers[SOCKET.status] !== 0x1c) s.registers[SOCKET.status] = 0;
      s.registers[SOCKET.interrupt] |= 8;
    });
  }

  private send(s: ChipSocket): void {
    const from = s.get(SIZE.txRead);
    const length = (s.get(SIZE.txWrite) - from) & 0xffff;
    if (length > BUFFER_BYTES) throw new Error(`${length} bytes put into a buffer of ${BUFFER_BYTES}`);
    const bytes = Buffer.from(Array.from({ length }, (_, i) => s.tx[(from + i) % BUFFER_BYTES]));
    s.set(SIZE.txRead, s.get(SIZE.txWrite));
    if (s.registers[SOCKET.mode] === 1) {
      if (!s.link) throw new Error('SEND without a connection');
      // What is sent without a cable is sent again later: here it just stays unconfirmed.
      if (this.isPlugged)
        s.link.write(bytes, () => {
          s.registers[SOCKET.interrupt] |= 0x10;
        });
      return;
    }
    s.registers[SOCKET.interrupt] |= 0x10;
    const to = dotted(s.registers.subarray(SOCKET.peer, SOCKET.peer + 4));
    const datagram = { to, port: s.get(SOCKET.peerPort), from: this.address(), bytes };
    if (!this.isPlugged) return;
    this.datagrams.push(datagram);
    this.onDatagram(datagram);
  }

  /** A datagram arrives at UDP socket `n`, as the chip stores it: sender, port, size, bytes. */
  hear(n: number, sender: string, port: number, bytes: Buffer): void {
    const s = this.sockets[n];
    const head = Buffer.from([
      ...sender.split('.').map(Number),
      port >> 8,
      port & 255,
      bytes.length >> 8,
      bytes.length & 255,
    ]);
    if (!this.isPlugged || s.registers[SOCKET.status] !== 0x22) return;
    s.pending = Buffer.concat([s.pending, head, bytes]);
    s.receive();
  }

  /** The peer's end of TCP socket 0 breaks off with a RST, or falls silent without a word. */
  breakOff(): void {
    this.sockets[0].link?.resetAndDestroy();
  }
}
