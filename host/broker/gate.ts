// Stands between a socket and the broker. Outwards it never makes the broker wait: what a client does not read is
// queued, and a client that lets its queue grow is disconnected, because Aedes delivers to nobody while one client
// is written to. Inwards it passes on whole packets only, none longer than the wire contract needs, and no more of
// them in a second than an honest client sends: the rest waits in the client's own connection.
import type { Socket } from 'node:net';
import { Duplex } from 'node:stream';

export interface GateLimits {
  /** Longest packet from a client, bytes, with its head. */
  packetBytes: number;
  /** Most bytes that wait for a client to read them. */
  queueBytes: number;
  /** Longest that anything waits for that, ms. */
  stallMs: number;
  /** Until a client must have logged in, ms. */
  loginMs: number;
  /** Packets a second that are taken from one client in the long run, and at once. */
  packetsPerSec: number;
  packetsAtOnce: number;
}

/** What a client did that ended its connection. */
export type Trouble = 'does not read' | 'too long' | 'not MQTT' | 'no login';

const CONNECT = 1;
/** Wait for packets to be allowed again, ms. */
const REFILL_MS = 50;
/** Room for the answers to one turn of packets: a full stream would make the broker wait. */
const ROOM_BYTES = 4_194_304;

/** Size of the packet at `from` (MQTT 3.1.1, 2.2.3); 0 until its length is there, -1 if that is malformed. */
function packetSize(bytes: Buffer, from: number): number {
  let length = 0;
  for (let i = 0; i < 4; i++) {
    const at = from + 1 + i;
    if (at >= bytes.length) return 0;
    length += (bytes[at] & 127) * 128 ** i;
    if (bytes[at] < 128) return at + 1 - from + length;
  }
  return -1;
}

export class Gate extends Duplex {
  /** Address of the client, as it is written in IPv4 where it is one. */
  readonly address: string;
  isLoggedIn = false;
  /** Its CONNECT has been passed on; what follows waits for the answer. */
  private hasAsked = false;
  /** No limits: the host's own client, which must get everything. */
  private isTrusted = false;
  private moreBytes = 0;
  private held: Buffer = Buffer.alloc(0);
  private isEnded = false;
  private tokens: number;
  private filledMs = performance.now();
  private refill: NodeJS.Timeout | undefined;
  private stall: NodeJS.Timeout | undefined;
  private readonly login: NodeJS.Timeout;

  constructor(
    private readonly socket: Socket,
    private readonly limits: GateLimits,
    private readonly onTrouble: (trouble: Trouble, gate: Gate) => void,
    /** By TLS. */
    readonly isSecure = false,
  ) {
    super({ writableHighWaterMark: ROOM_BYTES });
    this.address = (socket.remoteAddress ?? '').replace(/^::ffff:/, '');
    this.tokens = limits.packetsAtOnce;
    this.login = setTimeout(() => this.turnAway('no login'), limits.loginMs);
    socket.setNoDelay(true);
    socket.on('data', (bytes: Buffer) => {
      this.held = this.held.length > 0 ? Buffer.concat([this.held, bytes]) : bytes;
      this.passOn();
    });
    socket.on('drain', () => this.clearStall());
    socket.on('end', () => {
      this.isEnded = true;
      this.passOn();
    });
    socket.on('error', () => this.destroy());
    socket.on('close', () => this.destroy());
  }

  /**
   * The client has logged in.
   * @param moreBytes may wait for it beyond the limit of all clients
   */
  admit(isTrusted: boolean, moreBytes = 0): void {
    this.isLoggedIn = true;
    this.isTrusted = isTrusted;
    this.moreBytes = moreBytes;
    clearTimeout(this.login);
    setImmediate(() => this.passOn());
  }

  private get isWaiting(): boolean {
    return this.hasAsked && !this.isLoggedIn;
  }

  override _read(): void {
    this.passOn();
  }

  override _write(bytes: Buffer, _encoding: BufferEncoding, done: (error?: Error | null) => void): void {
    const { queueBytes } = this.limits;
    if (!this.isTrusted && this.socket.writableLength + bytes.length > queueBytes + this.moreBytes)
      this.turnAway('does not read');
    else if (!this.socket.write(bytes) && !this.isTrusted)
      this.stall ??= setTimeout(() => this.turnAway('does not read'), this.limits.stallMs);
    done();
  }

  override _final(done: () => void): void {
    this.socket.end();
    done();
  }

  override _destroy(error: Error | null, done: (error: Error | null) => void): void {
    clearTimeout(this.login);
    clearTimeout(this.refill);
    this.clearStall();
    this.held = Buffer.alloc(0);
    this.socket.destroy();
    done(error);
  }

  private clearStall(): void {
    clearTimeout(this.stall);
    this.stall = undefined;
  }

  private turnAway(trouble: Trouble): void {
    if (this.destroyed) return;
    this.onTrouble(trouble, this);
    this.destroy();
  }

  private passOn(): void {
    if (this.destroyed || this.refill !== undefined) return;
    let from = 0;
    let wants = true;
    while (wants && !this.isWaiting && from < this.held.length) {
      const size = packetSize(this.held, from);
      const trouble = this.troubleWith(size, from);
      if (trouble) {
        this.turnAway(trouble);
        return;
      }
      if (size === 0 || from + size > this.held.length || !this.takeToken()) break;
      this.hasAsked = true;
      wants = this.push(this.held.subarray(from, from + size));
      from += size;
    }
    this.held = this.held.subarray(from);
    this.listenOn(wants);
  }

  private troubleWith(size: number, from: number): Trouble | undefined {
    if (size < 0 || (!this.hasAsked && this.held[from] >> 4 !== CONNECT)) return 'not MQTT';
    return size > this.limits.packetBytes ? 'too long' : undefined;
  }

  /** Reads on, or leaves the rest in the connection until it can be passed on. */
  private listenOn(wants: boolean): void {
    const isHeldUp = !wants || this.isWaiting || this.refill !== undefined;
    if (isHeldUp) this.socket.pause();
    else if (this.isEnded) this.push(null);
    else this.socket.resume();
  }

  private takeToken(): boolean {
    if (this.isTrusted) return true;
    const { packetsPerSec, packetsAtOnce } = this.limits;
    const now = performance.now();
    this.tokens = Math.min(packetsAtOnce, this.tokens + ((now - this.filledMs) * packetsPerSec) / 1000);
    this.filledMs = now;
    if (this.tokens >= 1) {
      this.tokens--;
      return true;
    }
    this.refill = setTimeout(() => {
      this.refill = undefined;
      this.passOn();
    }, REFILL_MS);
    return false;
  }
}
