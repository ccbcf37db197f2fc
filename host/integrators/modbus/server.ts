// The state of a building for whoever reads registers: a server of Modbus TCP that can be read and not written. Modbus knows
// neither passwords nor encryption, so it listens on this machine only unless an address is given.
import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';
import type { Site } from '../../site/model';
import type { StatusListener } from '../statusBoard';
import { answerTo, requestSize } from './answer';
import { newRegisters } from './registers';

export interface ModbusPlace {
  /** Address to listen on; this machine only (127.0.0.1) by default. */
  host?: string;
  /** 0 for any free one. */
  port: number;
}

export interface ModbusOptions {
  site: Site;
  simulated: boolean;
  place: ModbusPlace;
  /** UTC second. */
  now(): number;
}

export interface Modbus extends Required<Pick<StatusListener, 'take' | 'all'>> {
  port: number;
  close(): Promise<void>;
}

/** Most connections at once; more are closed at once. */
export const CONNECTIONS_MAX = 16;
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

function listen(server: Server, { host = '127.0.0.1', port }: ModbusPlace): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => {
      const why = error.code === 'EADDRINUSE' ? 'another program is using it' : error.message;
      reject(
        new Error(`The registers cannot be served on ${host} port ${port}: ${why}; choose another --modbus.`),
      );
    });
    server.listen(port, host, () => resolve((server.address() as AddressInfo).port));
  });
}

/** Serves the registers. @throws Error with one sentence if the port is taken */
export async function startModbus({ site, simulated, place, now }: ModbusOptions): Promise<Modbus> {
  const registers = newRegisters(site, simulated, now);
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.once('close', () => sockets.delete(socket));
    serveOne(socket, (request) => answerTo(request, registers));
  });
  server.maxConnections = CONNECTIONS_MAX;
  const port = await listen(server, place);
  return {
    ...{ port, take: registers.take, all: registers.all },
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        for (const socket of sockets) socket.destroy();
      }),
  };
}
