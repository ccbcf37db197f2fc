// A simulated controller on a real network: the same client over a real TCP connection to a real broker.
import { connect, type Socket } from 'node:net';
import type { SimulatedNet, WireHandlers } from './wire';

export interface BrokerPlace {
  host: string;
  port: number;
}

/** A network port on TCP. Events reach `on` as they arrive, in real time. */
export class TcpNet implements SimulatedNet {
  private socket: Socket | undefined;
  readonly stops = 0;

  constructor(
    private readonly place: BrokerPlace,
    private readonly on: WireHandlers,
  ) {}

  isReady(): boolean {
    return true;
  }

  stopMs(): number {
    return 0;
  }

  open(): void {
    const opened = connect(this.place.port, this.place.host);
    this.socket = opened;
    opened.setNoDelay(true);
    const mine = () => opened === this.socket;
    opened.on('connect', () => mine() && this.on.opened());
    opened.on('data', (bytes) => mine() && this.on.data(bytes.toString('latin1')));
    opened.on('close', () => mine() && this.on.closed());
    opened.on('error', () => opened.destroy());
  }

  write(bytes: string): void {
    this.socket?.write(Buffer.from(bytes, 'latin1'));
  }

  close(): void {
    this.socket?.end();
    this.socket = undefined;
  }

  /** Nothing of a real network happens in simulated time. */
  nextAt(): number {
    return Number.POSITIVE_INFINITY;
  }

  deliver(_on: WireHandlers): void {}
}
