// The state of a building for whoever reads registers: a server of Modbus TCP that can be read and not written. Modbus knows
// neither passwords nor encryption, so it listens on this machine only unless an address is given.
import { createServer, type Socket } from 'node:net';
import { newComplaints } from '../../broker/complaints';
import { plainAddress } from '../../loopback';
import { listening } from '../../network/listening';
import type { Site } from '../../site/model';
import type { StatusListener } from '../statusBoard';
import { answerTo, requestSize, type Source } from './answer';
import { newRegisters } from './registers';

export interface ModbusPlace {
  /** Address to listen on; this machine only (127.0.0.1) by default. */
  host?: string;
  /** 0 for any free one. */
  port: number;
}

export interface ModbusServerOptions {
  place: ModbusPlace;
  source: Source;
  /** Told of clients that were turned away, one sentence each. */
  onProblem?(sentence: string): void;
}

export interface ModbusOptions extends Omit<ModbusServerOptions, 'source'> {
  site: Site;
  simulated: boolean;
  /** UTC second. */
  now(): number;
}

export interface ModbusServer {
  port: number;
  close(): Promise<void>;
}

export interface Modbus extends ModbusServer, Required<Pick<StatusListener, 'take' | 'all'>> {}

const HOST = '127.0.0.1';
/** Most connections at once, of all and of one address; more are closed at once. */
export const CONNECTIONS_MAX = 64;
export const PER_ADDRESS_MAX = 8;
/** A client that asks nothing for this long is disconnected, ms. */
const IDLE_MS = 120_000;

/** Answers one client in the order of its requests; who does not read its answers is not read either. */
function serveOne(socket: Socket, answer: (request: Buffer) => Buffer): void {
  let held: Buffer = Buffer.alloc(0);
  socket.setNoDelay(true).setTimeout(IDLE_MS, () => socket.destroy());
  socket.on('error', () => socket.destroy());
  socket.on('drain', () => socket.resume());
  socket.on('data', (bytes: Buffer) => {
    held = Buffer.concat([held, bytes]);
    let size = requestSize(held);
    for (; size > 0 && size <= held.length; size = requestSize(held)) {
      if (!socket.write(answer(held.subarray(0, size)))) socket.pause();
      held = held.subarray(size);
    }
    if (size < 0) socket.destroy();
  });
}

/** Why the registers cannot be served there. */
function noRegisters({ host = HOST, port }: ModbusPlace): (error: NodeJS.ErrnoException) => string {
  return (error) => {
    const why = error.code === 'EADDRINUSE' ? 'another program is using it' : error.message;
    return `The registers cannot be served on ${host} port ${port}: ${why}; choose another --modbus.`;
  };
}

/** Clients that are connected, a share of them from one address, so that nobody keeps out those at others. */
class Clients {
  private readonly sockets = new Set<Socket>();

  /** @param refuse told of each that is turned away, and from where */
  constructor(private readonly refuse: (address: string) => void) {}

  /** False if it was one too many, and is ended. */
  enter(socket: Socket): boolean {
    const address = plainAddress(socket.remoteAddress ?? '');
    const own = [...this.sockets].filter((one) => plainAddress(one.remoteAddress ?? '') === address);
    if (own.length >= PER_ADDRESS_MAX || this.sockets.size >= CONNECTIONS_MAX) {
      socket.destroy();
      this.refuse(address);
      return false;
    }
    this.sockets.add(socket);
    socket.once('close', () => this.sockets.delete(socket));
    return true;
  }

  end(): void {
    for (const socket of this.sockets) socket.destroy();
  }
}

/** Serves what a source has. @throws Error with one sentence if the port is taken */
export async function openModbus(o: ModbusServerOptions): Promise<ModbusServer> {
  const { place, source, onProblem = () => {} } = o;
  const complaints = newComplaints(onProblem, 'The server of registers');
  const clients = new Clients((address) =>
    complaints.add(address, `Too many clients from ${address} read registers; one more was turned away.`),
  );
  const server = createServer((socket) => {
    if (clients.enter(socket)) serveOne(socket, (request) => answerTo(request, source));
  });
  const where = { port: place.port, host: place.host ?? HOST };
  const port = await listening(server, where, noRegisters(place)).catch((error) => {
    complaints.close();
    throw error;
  });
  return {
    port,
    close: () =>
      new Promise((resolve) => {
        complaints.close();
        server.close(() => resolve());
        clients.end();
      }),
  };
}

/** Serves the registers of one building. @throws Error with one sentence if the port is taken */
export async function startModbus({ site, simulated, now, ...o }: ModbusOptions): Promise<Modbus> {
  const registers = newRegisters(site, simulated, now);
  const server = await openModbus({ ...o, source: registers });
  return { ...server, take: registers.take, all: registers.all };
}
