// One connection through a KNX interface: made, kept alive, ended. UDP without any proof of who sends: what does not come
// from the interface's own address and port is dropped, and nothing that does is an order.
import { createSocket, type Socket } from 'node:dgram';
import { lookup } from 'node:dns/promises';
import {
  ack,
  connectRequest,
  disconnectRequest,
  disconnectResponse,
  type Endpoint,
  type Frame,
  readFrame,
  refusalWords,
  stateRequest,
  type Telegram,
  tunnellingRequest,
} from './frames';

/** Waits of the standard (3/8/2 and 3/8/4, from memory), ms. */
export const WAITS = {
  connect: 10_000,
  ack: 1000,
  /** Between two questions whether the connection is still there. */
  alive: 60_000,
  aliveAnswer: 10_000,
  /** Longest for the interface to say whether the bus has taken a telegram. */
  sent: 3000,
  /** For how long a tunnel that is granted too late is given back (our choice). */
  late: 60_000,
};
export type Waits = typeof WAITS;

/** How often a telegram, and the question whether the connection is still there, are sent. */
const SENDS = 2;
const ALIVE_SENDS = 3;
/** Telegrams are numbered from 0 and on from 0. */
const SEQ_COUNT = 256;

export interface TunnelOptions {
  /** Address or name. */
  host: string;
  port: number;
  waits: Waits;
  /** Ends it at once, whatever it is doing. */
  signal: AbortSignal;
  /** Somebody on the bus asks for the value of a group address. */
  onRead(address: number): void;
}

/** What became of a telegram; unsaid: the interface has it, and does not say whether the bus has. */
export type Fate = 'taken' | 'refused' | 'unsaid' | 'lost with the connection';

export interface Tunnel {
  /** One at a time. */
  send(telegram: Telegram): Promise<Fate>;
  close(): Promise<void>;
  /** Resolves with the reason when the connection is over. */
  readonly over: Promise<string>;
}

type Matches = (frame: Frame) => boolean;

const isSame = (one: Endpoint, other: Endpoint): boolean =>
  one.address === other.address && one.port === other.port;

/** The address of this machine from which another is reached. @throws Error if none does */
function ownAddress(to: Endpoint): Promise<string> {
  const socket = createSocket('udp4');
  return new Promise<string>((resolve, reject) => {
    // Not with a callback: that would get the error, and `error` would not come.
    socket.once('error', reject);
    socket.once('connect', () => resolve(socket.address().address));
    socket.connect(to.port, to.address);
  }).finally(() => socket.close());
}

function bound(address: string): Promise<Socket> {
  const socket = createSocket('udp4');
  return new Promise((resolve, reject) => {
    socket.once('error', reject);
    socket.bind({ address, port: 0 }, () => resolve(socket));
  });
}

class Connection implements Tunnel {
  readonly over: Promise<string>;
  private readonly closed: Promise<void>;
  private finish: (why: string) => void = () => {};
  private isOver = false;
  private channel = -1;
  /** A question for a tunnel is on its way. */
  private isAsking = false;
  /** Where telegrams go: nearly always where everything else goes too. */
  private data: Endpoint;
  /** Numbers of the next telegram from here, and of the next from there. */
  private seq = 0;
  private awaited = 0;
  private readonly waiting = new Set<{ matches: Matches; done(frame?: Frame): void }>();
  private timer: NodeJS.Timeout | undefined;

  constructor(
    private readonly socket: Socket,
    private readonly own: Endpoint,
    private readonly control: Endpoint,
    private readonly o: TunnelOptions,
  ) {
    this.data = control;
    this.over = new Promise((resolve) => {
      this.finish = resolve;
    });
    this.closed = new Promise((resolve) => void socket.once('close', resolve));
    socket.on('error', (error) => this.end(error.message));
    socket.on('message', (bytes, from) => {
      if (!isSame(from, this.control) && !isSame(from, this.data)) return;
      const frame = readFrame(bytes);
      if (frame && !this.isOver) this.hear(frame);
    });
    // The host may have ended while its own address was being looked for.
    if (o.signal.aborted) this.leave();
    else o.signal.addEventListener('abort', this.leave);
  }

  /** @throws Error with the reason if there is none */
  async connect(): Promise<void> {
    const isAnswer: Matches = ({ kind }) => kind === 'connected';
    this.isAsking = true;
    const answer = await this.ask(connectRequest(this.own), this.control, isAnswer, this.o.waits.connect);
    if (answer) this.isAsking = false;
    if (answer?.kind !== 'connected' || answer.status !== 0) {
      const why = answer?.kind === 'connected' ? refusalWords(answer.status) : 'no answer';
      this.end(why);
      throw new Error(why);
    }
    this.channel = answer.channel;
    this.data = answer.data ?? this.control;
    this.timer = setInterval(() => void this.lookAlive(), this.o.waits.alive);
  }

  async send(telegram: Telegram): Promise<Fate> {
    const { seq, channel } = this;
    this.seq = (seq + 1) % SEQ_COUNT;
    const isWord: Matches = (frame) =>
      frame.kind === 'request' && frame.message?.code !== 'heard' && frame.message?.to === telegram.to;
    // It may come before the interface says that it has the telegram.
    const said = this.expect(isWord, this.o.waits.sent);
    const isAnswer: Matches = (frame) => frame.kind === 'ack' && frame.seq === seq;
    const bytes = tunnellingRequest(channel, seq, telegram);
    const answer = await this.ask(bytes, this.data, isAnswer, this.o.waits.ack, SENDS);
    if (answer?.kind !== 'ack') this.end('it no longer answers');
    else if (answer.status !== 0) this.end(refusalWords(answer.status));
    const word = await said;
    if (word?.kind === 'request') return word.message?.code === 'sent' ? 'taken' : 'refused';
    return this.isOver ? 'lost with the connection' : 'unsaid';
  }

  async close(): Promise<void> {
    this.leave();
    await this.closed;
  }

  private readonly leave = (): void => this.end('the host ends');

  /** @param isKnown whether the interface has ended it, and need not be told */
  private end(why: string, isKnown = false): void {
    if (this.isOver) return;
    // An interface keeps what nobody ends for some two minutes (from memory), and has few for all who use the bus.
    const isTold = this.channel >= 0 && !isKnown;
    const last = isTold ? this.say(disconnectRequest(this.channel, this.own), this.control) : undefined;
    this.isOver = true;
    // There may be many connections before the host ends.
    this.o.signal.removeEventListener('abort', this.leave);
    clearInterval(this.timer);
    for (const { done } of [...this.waiting]) done();
    if (last) void last.then(() => this.socket.close());
    else if (this.isAsking && !this.o.signal.aborted) this.awaitLate();
    else this.socket.close();
    this.finish(why);
  }

  /** Gives back the tunnel that an interface grants when nobody waits for it any more. */
  private awaitLate(): void {
    const { signal, waits } = this.o;
    let isClosed = false;
    const close = (): void => {
      if (isClosed) return;
      isClosed = true;
      clearTimeout(timer);
      signal.removeEventListener('abort', close);
      this.socket.close();
    };
    const timer = setTimeout(close, waits.late);
    signal.addEventListener('abort', close);
    this.socket.on('message', (bytes, from) => {
      const answer = isSame(from, this.control) ? readFrame(bytes) : undefined;
      if (answer?.kind !== 'connected' || isClosed) return;
      const { address, port } = this.control;
      if (answer.status !== 0) close();
      else this.socket.send(disconnectRequest(answer.channel, this.own), port, address, close);
    });
  }

  private async lookAlive(): Promise<void> {
    const isAnswer: Matches = ({ kind }) => kind === 'alive';
    const bytes = stateRequest(this.channel, this.own);
    const answer = await this.ask(bytes, this.control, isAnswer, this.o.waits.aliveAnswer, ALIVE_SENDS);
    if (answer?.kind !== 'alive') this.end('it no longer answers');
    else if (answer.status !== 0) this.end('it knows nothing of the connection');
  }

  /** Resolves when the datagram is on its way; one that is not counts as one that was lost. */
  private say(bytes: Buffer, to: Endpoint): Promise<void> {
    return new Promise((resolve) => {
      if (this.isOver) resolve();
      else this.socket.send(bytes, to.port, to.address, () => resolve());
    });
  }

  private expect(matches: Matches, ms: number): Promise<Frame | undefined> {
    return new Promise((resolve) => {
      if (this.isOver) {
        resolve(undefined);
        return;
      }
      const one = {
        matches,
        done: (frame?: Frame) => {
          clearTimeout(timer);
          this.waiting.delete(one);
          resolve(frame);
        },
      };
      const timer = setTimeout(one.done, ms);
      this.waiting.add(one);
    });
  }

  /** Says it up to so many times until an answer comes. */
  private async ask(
    bytes: Buffer,
    to: Endpoint,
    matches: Matches,
    ms: number,
    times = 1,
  ): Promise<Frame | undefined> {
    for (let n = 0; n < times && !this.isOver; n++) {
      const answer = this.expect(matches, ms);
      await this.say(bytes, to);
      const frame = await answer;
      if (frame) return frame;
    }
    return undefined;
  }

  private hear(frame: Frame): void {
    if (frame.kind !== 'connected' && frame.channel !== this.channel) return;
    if (frame.kind === 'disconnect') {
      void this.say(disconnectResponse(this.channel), this.control).then(() =>
        this.end('it ended the connection', true),
      );
    }
    if (frame.kind === 'request' && !this.takes(frame.seq)) return;
    for (const { matches, done } of [...this.waiting]) if (matches(frame)) done(frame);
    if (frame.kind === 'request' && frame.message?.code === 'heard' && frame.message.verb === 'read')
      this.o.onRead(frame.message.to);
  }

  /** Whether a telegram is the next one. One that comes once more is acknowledged again, any other is not. */
  private takes(seq: number): boolean {
    const isNext = seq === this.awaited;
    if (!isNext && (seq + 1) % SEQ_COUNT !== this.awaited) return false;
    if (isNext) this.awaited = (seq + 1) % SEQ_COUNT;
    void this.say(ack(this.channel, seq), this.data);
    return isNext;
  }
}

/** @throws Error with the reason if there is no connection */
export async function openTunnel(o: TunnelOptions): Promise<Tunnel> {
  const { address } = await lookup(o.host, { family: 4 });
  const control = { address, port: o.port };
  const socket = await bound(await ownAddress(control));
  const { address: here, port } = socket.address();
  const connection = new Connection(socket, { address: here, port }, control, o);
  await connection.connect();
  return connection;
}
