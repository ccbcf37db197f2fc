// A client of a broker made of bytes, which may do what no library does: stop reading, stop in the middle of a packet,
// or speak out of turn.
import { once } from 'node:events';
import { connect, type Socket } from 'node:net';
import { encodeConnect, encodePublish, encodeSubscribe } from '../../firmware/link/packets';

export interface RawOptions {
  port: number;
  /** Own address, 127.0.0.1 by default. */
  from?: string;
}

export interface RawLogin {
  clientId: string;
  user?: string;
  password?: string;
  keepAliveSec?: number;
  willTopic?: string;
  willPayload?: string;
}

/** CONNACK return code that stands for a connection closed without one. */
export const CLOSED = -1;

export class RawClient {
  /** All bytes that came. */
  heard = Buffer.alloc(0);
  isClosed = false;

  private constructor(readonly socket: Socket) {
    socket.on('data', (bytes: Buffer) => {
      this.heard = Buffer.concat([this.heard, bytes]);
    });
    socket.on('error', () => {});
    socket.on('close', () => {
      this.isClosed = true;
    });
  }

  static async open({ port, from = '127.0.0.1' }: RawOptions): Promise<RawClient> {
    const socket = connect({ port, host: '127.0.0.1', localAddress: from });
    const client = new RawClient(socket);
    await once(socket, 'connect');
    return client;
  }

  /** Opens and logs in. */
  static async joined(options: RawOptions, login: RawLogin): Promise<RawClient> {
    const client = await RawClient.open(options);
    const code = await client.logIn(login);
    if (code === 0) return client;
    throw new Error(`The broker refused ${login.clientId} with ${code}.`);
  }

  /** Bytes as they stand in a binary string. */
  send(bytes: string): void {
    if (!this.isClosed) this.socket.write(Buffer.from(bytes, 'latin1'));
  }

  /** @returns the code of the CONNACK, or `CLOSED` */
  async logIn({ user = '', password = '', ...more }: RawLogin): Promise<number> {
    this.send(encodeConnect({ keepAliveSec: 60, willTopic: '', willPayload: '', ...more, user, password }));
    await this.untilBytes(4);
    return this.heard.length >= 4 ? this.heard[3] : CLOSED;
  }

  /** @returns the granted QoS of each filter; 128 is a refusal */
  async subscribe(...filters: string[]): Promise<number[]> {
    const from = this.heard.length;
    this.send(encodeSubscribe(1, filters));
    await this.untilBytes(from + 4 + filters.length);
    return [...this.heard.subarray(from + 4, from + 4 + filters.length)];
  }

  publish(topic: string, payload: string, qos: 0 | 1 | 2 = 0, retain: 0 | 1 = 0): void {
    const bytes = encodePublish(topic, payload, qos, retain, 0, 7);
    this.send(qos === 2 ? `\x34${bytes.slice(1)}` : bytes);
  }

  /** Takes nothing more from the socket. */
  stopReading(): void {
    this.socket.pause();
  }

  async untilClosed(): Promise<void> {
    // Not `once`, which an error of the socket would reject.
    if (!this.isClosed) await new Promise<void>((resolve) => this.socket.once('close', () => resolve()));
  }

  close(): void {
    this.socket.destroy();
  }

  private async untilBytes(count: number): Promise<void> {
    while (this.heard.length < count && !this.isClosed)
      await Promise.race([once(this.socket, 'data'), once(this.socket, 'close')]).catch(() => {});
  }
}
