// Real MQTT brokers on loopback for tests: Debian's Mosquitto as a process, Aedes in this process.
import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { type AddressInfo, connect, createServer, type Server, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Aedes, type AedesOptions } from 'aedes';

const MOSQUITTO = '/usr/sbin/mosquitto';
const MOSQUITTO_PASSWD = '/usr/bin/mosquitto_passwd';
/** How long to wait for a broker on a busy machine, ms. */
const START_MS = 60_000;
/** Another program may take a free port before the broker does. */
const PORTS_TRIED = 5;

export interface Broker {
  readonly port: number;
  /** mqtt://127.0.0.1:port */
  readonly url: string;
  /** Starts again on the same port after `stop` or `kill`; resolves when it accepts connections. */
  start(): Promise<void>;
  /** Shuts it down cleanly; resolves when the port is free. */
  stop(): Promise<void>;
  /** Kills it without a shutdown; resolves when the port is free. */
  kill(): Promise<void>;
}

export interface MosquittoBroker extends Broker {
  /** The broker stays connected but falls silent: a half-open link. */
  freeze(): void;
  thaw(): void;
  /** Process id of what runs now. */
  pid(): number;
  /** What it has logged since the first start. */
  log(): string;
}

export interface AedesBroker extends Broker {
  /** The instance running now; `start` makes a new one. */
  aedes(): Aedes;
}

export interface MosquittoOptions {
  /** Default: a free one. */
  port?: number;
  /** Retained messages and sessions survive `stop` and `start`. Default: false. */
  persistence?: boolean;
  /** From `passwordFile`; without it anyone may connect. */
  passwordFile?: string;
  /** More lines for mosquitto.conf. */
  config?: string[];
  /** All of mosquitto.conf, in place of everything above but the port, at which it must listen. */
  whole?: string;
}

const folders = new Set<string>();
const children = new Set<ChildProcess>();

function leaveNothingBehind(): void {
  for (const child of children) child.kill('SIGKILL');
  for (const folder of folders) rmSync(folder, { recursive: true, force: true });
}

process.once('exit', leaveNothingBehind);
// The test runner ends its workers by SIGTERM, which skips the event above.
process.once('SIGTERM', () => {
  leaveNothingBehind();
  process.exit(143);
});

function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-broker-'));
  folders.add(folder);
  return folder;
}

function demand(program: string): void {
  if (existsSync(program)) return;
  throw new Error(`The tests need ${program}: install Debian's package "mosquitto" and run them again.`);
}

/** A TCP port of 127.0.0.1 that nobody listens on. */
export function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.once('error', reject);
    server.listen(0, '127.0.0.1', () => {
      const { port } = server.address() as AddressInfo;
      server.close(() => resolve(port));
    });
  });
}

/** A Mosquitto password file for these users, in a folder that is removed when the process ends. */
export function passwordFile(users: Record<string, string>): string {
  demand(MOSQUITTO_PASSWD);
  const file = join(temporaryFolder(), 'passwords');
  writeFileSync(file, '', { mode: 0o600 });
  for (const [user, password] of Object.entries(users))
    execFileSync(MOSQUITTO_PASSWD, ['-b', file, user, password], { stdio: 'ignore' });
  return file;
}

function writeConfig(port: number, options: MosquittoOptions): string {
  const folder = temporaryFolder();
  // Started by root, it would switch to a user who may not read the folder.
  const user = process.getuid?.() === 0 ? ['user root'] : [];
  const usual = [
    `listener ${port} 127.0.0.1`,
    `allow_anonymous ${options.passwordFile === undefined}`,
    'log_dest stderr',
    `persistence ${options.persistence === true}`,
    `persistence_location ${folder}/`,
    ...(options.passwordFile === undefined ? [] : [`password_file ${options.passwordFile}`]),
    ...(options.config ?? []),
  ];
  const lines = [...user, ...(options.whole === undefined ? usual : [options.whole])];
  const file = join(folder, 'mosquitto.conf');
  writeFileSync(file, `${lines.join('\n')}\n`);
  return file;
}

/** Whether a port of 127.0.0.1 takes connections. */
export function accepts(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1');
    socket.once('connect', () => {
      socket.destroy();
      resolve(true);
    });
    socket.once('error', () => resolve(false));
  });
}

async function untilAccepting(port: number, child: ChildProcess, log: () => string): Promise<void> {
  const giveUpAt = Date.now() + START_MS;
  while (!(await accepts(port))) {
    if (child.exitCode !== null || child.signalCode !== null)
      throw new Error(`mosquitto ended before it accepted connections on port ${port}: ${log()}`);
    if (Date.now() > giveUpAt) throw new Error(`mosquitto does not accept connections: ${log()}`);
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}

/** Starts Mosquitto on 127.0.0.1; resolves when it accepts connections. */
export async function startMosquitto(options: MosquittoOptions = {}): Promise<MosquittoBroker> {
  demand(MOSQUITTO);
  if (options.port !== undefined) return startMosquittoOn(options.port, options);
  for (let tried = 1; ; tried++)
    try {
      return await startMosquittoOn(await freePort(), options);
    } catch (failure) {
      if (tried === PORTS_TRIED) throw failure;
    }
}

async function startMosquittoOn(port: number, options: MosquittoOptions): Promise<MosquittoBroker> {
  const config = writeConfig(port, options);
  let child: ChildProcess | undefined;
  let logged = '';

  async function start(): Promise<void> {
    const started = spawn(MOSQUITTO, ['-c', config], { stdio: ['ignore', 'ignore', 'pipe'] });
    child = started;
    children.add(started);
    started.once('exit', () => children.delete(started));
    started.stderr?.on('data', (bytes: Buffer) => {
      logged += bytes.toString();
    });
    await untilAccepting(port, started, () => logged);
  }

  function end(signal: 'SIGTERM' | 'SIGKILL'): Promise<void> {
    const ending = child;
    if (ending === undefined || ending.exitCode !== null || ending.signalCode !== null)
      return Promise.resolve();
    return new Promise((resolve) => {
      ending.once('exit', () => resolve());
      ending.kill(signal);
    });
  }

  await start();
  return {
    port,
    url: `mqtt://127.0.0.1:${port}`,
    start,
    stop: () => end('SIGTERM'),
    kill: () => end('SIGKILL'),
    freeze: () => child?.kill('SIGSTOP'),
    thaw: () => child?.kill('SIGCONT'),
    pid: () => child?.pid ?? 0,
    log: () => logged,
  };
}

function listen(server: Server, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, '127.0.0.1', () => resolve((server.address() as AddressInfo).port));
  });
}

/**
 * Starts Aedes on 127.0.0.1, in this process. What it retains is lost on `stop`, unless `options`
 * holds a persistence of the caller's own.
 */
export async function startAedes(port = 0, options: AedesOptions = {}): Promise<AedesBroker> {
  let aedes: Aedes | undefined;
  let server: Server | undefined;
  const sockets = new Set<Socket>();

  async function start(at: number): Promise<number> {
    const started = await Aedes.createBroker(options);
    aedes = started;
    server = createServer((socket) => {
      sockets.add(socket);
      socket.once('close', () => sockets.delete(socket));
      started.handle(socket);
    });
    return listen(server, at);
  }

  async function end(inGoodOrder: boolean): Promise<void> {
    const [closingServer, closingAedes] = [server, aedes];
    server = undefined;
    aedes = undefined;
    if (closingServer === undefined || closingAedes === undefined) return;
    const serverEnded = new Promise((resolve) => closingServer.close(resolve));
    if (!inGoodOrder) for (const socket of sockets) socket.destroy();
    await new Promise<void>((resolve) => closingAedes.close(resolve));
    for (const socket of sockets) socket.destroy();
    await serverEnded;
  }

  const bound = await start(port);
  return {
    port: bound,
    url: `mqtt://127.0.0.1:${bound}`,
    start: async () => {
      await start(bound);
    },
    stop: () => end(true),
    kill: () => end(false),
    aedes: () => {
      if (aedes === undefined) throw new Error('This Aedes is stopped: call start() first.');
      return aedes;
    },
  };
}
