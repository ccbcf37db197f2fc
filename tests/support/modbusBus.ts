// Current modules on a two-wire bus, played by the library `modbus-serial` behind pseudo-terminals (socat's).
// The bus joins them byte by byte and does to the bytes what a real line does: two modules that answer at
// once collide, and noise turns bits over.
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import { once } from 'node:events';
import { ServerSerial } from 'modbus-serial';
import { newRandom, next32 } from '../../simulator/random';
import { crc16 } from './busFrame';

/** Silence after which the library takes a request for whole, ms. */
const SILENCE_MS = 3;
const REQUEST_BYTES = 8;

/** A module as set by the test: its registers' counts, or what is wrong with it. */
export interface Module {
  counts: number[];
  /** Answers this much later, ms; for ever: it is silent. */
  lateMs?: number;
}

/** What the modules behind one pseudo-terminal answer. */
export type Modules = Map<number, Module>;

/** A pseudo-terminal whose other end are the pipes of socat. */
export class Terminal {
  readonly socat: ChildProcessWithoutNullStreams = spawn('socat', ['-d', '-d', 'PTY,rawer', 'STDIO']);

  async open(): Promise<string> {
    this.socat.stderr.setEncoding('latin1');
    for (;;) {
      const [text] = (await once(this.socat.stderr, 'data')) as [string];
      const found = /PTY is (\S+)/.exec(text);
      if (found) return found[1];
    }
  }

  /** Called with what the program at the terminal sends. */
  onData(take: (bytes: Buffer) => void): void {
    this.socat.stdout.on('data', take);
  }

  send(bytes: Buffer): void {
    this.socat.stdin.write(bytes);
  }

  close(): void {
    this.socat.kill('SIGKILL');
  }
}

class Segment {
  readonly terminal = new Terminal();
  private server: ServerSerial | undefined;

  constructor(private readonly modules: Modules) {}

  answersAtOnce(address: number): boolean {
    const module = this.modules.get(address);
    return module !== undefined && !module.lateMs;
  }

  async open(): Promise<void> {
    const path = await this.terminal.open();
    const register = (
      address: number,
      unit: number,
      answer: (error: object | null, count: number) => void,
    ) => {
      const module = this.modules.get(unit);
      if (!module || module.lateMs === Number.POSITIVE_INFINITY) return;
      const count = module.counts[address];
      // Exception 2 is an illegal data address (Application Protocol V1.1b3, 7).
      const give = () => answer(count === undefined ? { modbusErrorCode: 2 } : null, (count ?? 0) & 0xffff);
      if (module.lateMs) setTimeout(give, module.lateMs);
      else give();
    };
    const vector = { getInputRegister: register, getHoldingRegister: register };
    const options = { path, baudRate: 9600, unitID: 255, interval: SILENCE_MS };
    this.server = new ServerSerial(vector as never, options as never);
    await once(this.server, 'initialized');
  }

  async close(): Promise<void> {
    const { server } = this;
    if (server) await new Promise<void>((done) => server.close(() => done()));
    this.terminal.close();
  }
}

function collided(answers: Buffer[]): Buffer {
  const joined = Buffer.alloc(Math.max(...answers.map((one) => one.length)), 0xff);
  for (const one of answers) for (let i = 0; i < one.length; i++) joined[i] &= one[i];
  return joined;
}

export class ModbusBus {
  /** Called with what arrives at the controller's end. */
  heard: (bytes: Buffer) => void = () => {};
  /** Share of bits of an answer that noise turns over; and of those of one module, by its address. */
  noise = 0;
  readonly noiseAt = new Map<number, number>();
  /** Answers of two modules follow each other instead of colliding. */
  isApart = false;
  /** Requests seen, in order. */
  readonly requests: Buffer[] = [];
  private readonly segments: Segment[];
  private readonly random = newRandom(7);
  private collected: Buffer[] = [];
  /** Answers that the last request has at once. */
  private due = 0;

  /** Modules of each segment; an address in more than one of them answers twice. */
  constructor(...modules: Modules[]) {
    this.segments = modules.map((of) => new Segment(of));
  }

  async open(): Promise<void> {
    for (const segment of this.segments) {
      await segment.open();
      segment.terminal.onData((bytes) => this.answered(bytes));
    }
  }

  async close(): Promise<void> {
    for (const segment of this.segments) await segment.close();
  }

  /** The controller puts bytes on the line. A module ignores a request with a wrong CRC; the library does not. */
  send(bytes: Buffer): void {
    if (bytes.length !== REQUEST_BYTES)
      throw new Error(`${bytes.length} bytes are no request for a register`);
    if (crc16(bytes.subarray(0, 6)) !== bytes.readUInt16LE(6))
      throw new Error('The CRC of a request is wrong');
    this.requests.push(Buffer.from(bytes));
    this.collected = [];
    this.due = this.segments.filter((segment) => segment.answersAtOnce(bytes[0])).length;
    for (const segment of this.segments) segment.terminal.send(bytes);
  }

  /** All answers to a request are on the line at once, however busy this machine is: a 0 bit wins. */
  private answered(bytes: Buffer): void {
    this.collected.push(bytes);
    if (this.collected.length < this.due) return;
    const answers = this.collected;
    this.collected = [];
    this.heard(this.disturbed(this.isApart ? Buffer.concat(answers) : collided(answers)));
  }

  private disturbed(bytes: Buffer): Buffer {
    const noise = this.noiseAt.get(bytes[0]) ?? this.noise;
    if (noise === 0) return bytes;
    for (let i = 0; i < bytes.length * 8; i++)
      if (next32(this.random) / 2 ** 32 < noise) bytes[i >> 3] ^= 1 << (i & 7);
    return bytes;
  }
}
