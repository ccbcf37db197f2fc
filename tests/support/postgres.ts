// A real PostgreSQL server in a temporary folder, as an unprivileged user: the server refuses to run as root.
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { chownSync, existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { freePort } from './brokers';

const DEBIAN = '/usr/lib/postgresql';
/** "nobody" and its group in Debian: base-passwd. */
const NOBODY = { uid: 65534, gid: 65534 };
const START_MS = 30_000;
const AGAIN_MS = 100;

function program(name: string): string {
  const versions = existsSync(DEBIAN) ? readdirSync(DEBIAN).sort((a, b) => Number(b) - Number(a)) : [];
  const found = versions.map((version) => `${DEBIAN}/${version}/bin/${name}`).find(existsSync);
  if (found) return found;
  throw new Error('The tests need initdb: install Debian\'s package "postgresql" and run them again.');
}

function user(): { uid?: number; gid?: number } {
  return process.getuid?.() === 0 ? NOBODY : {};
}

export interface Database {
  /** URL of a database that exists. */
  url: string;
  /** Runs SQL as the superuser, in the same database. @returns what psql prints, unaligned */
  sql(text: string): string;
  /** Ends the server with SIGKILL, or in good order, and waits for its end. */
  end(signal?: NodeJS.Signals): Promise<void>;
  start(): Promise<void>;
  /** Ends it and removes its files. */
  remove(): Promise<void>;
}

class Server implements Database {
  private readonly data: string;
  private process: ChildProcess | undefined;

  constructor(
    private readonly folder: string,
    private readonly port: number,
  ) {
    this.data = join(folder, 'data');
  }

  get url(): string {
    return `postgres://postgres@127.0.0.1:${this.port}/postgres`;
  }

  make(): void {
    if (process.getuid?.() === 0) chownSync(this.folder, NOBODY.uid, NOBODY.gid);
    const options = ['-U', 'postgres', '-A', 'trust', '-E', 'UTF8', '--locale=C', '--no-sync'];
    const { status, stderr } = spawnSync(program('initdb'), ['-D', this.data, ...options], {
      ...{ ...user(), encoding: 'utf8', cwd: this.folder },
    });
    if (status !== 0) throw new Error(`initdb failed: ${stderr}`);
  }

  async start(): Promise<void> {
    const until = performance.now() + START_MS;
    // After SIGKILL the server's children may hold its memory for a moment.
    for (;;) {
      this.spawn();
      while (this.process?.exitCode === null && this.process.signalCode === null) {
        if (this.answers()) return;
        await new Promise((resolve) => setTimeout(resolve, AGAIN_MS));
      }
      if (performance.now() > until) throw new Error('PostgreSQL did not start.');
    }
  }

  sql(text: string): string {
    const psql = ['-X', '-A', '-t', '-q', '-v', 'ON_ERROR_STOP=1', '-d', this.url, '-c', text];
    const { status, stdout, stderr } = spawnSync(program('psql'), psql, { encoding: 'utf8' });
    if (status !== 0) throw new Error(stderr);
    return stdout.trim();
  }

  end(signal: NodeJS.Signals = 'SIGINT'): Promise<void> {
    const { process: server } = this;
    this.process = undefined;
    if (!server || server.exitCode !== null || server.signalCode !== null) return Promise.resolve();
    return new Promise((resolve) => {
      server.on('exit', () => resolve());
      server.kill(signal);
    });
  }

  async remove(): Promise<void> {
    await this.end();
    rmSync(this.folder, { recursive: true, force: true });
  }

  private spawn(): void {
    const settings = { listen_addresses: '127.0.0.1', unix_socket_directories: '', shared_buffers: '16MB' };
    const options = Object.entries(settings).flatMap(([name, value]) => ['-c', `${name}=${value}`]);
    this.process = spawn(program('postgres'), ['-D', this.data, '-p', `${this.port}`, ...options], {
      ...{ ...user(), cwd: this.folder, stdio: 'ignore' },
    });
  }

  private answers(): boolean {
    const asked = ['-q', '-h', '127.0.0.1', '-p', `${this.port}`];
    return spawnSync(program('pg_isready'), asked).status === 0;
  }
}

/** Makes and starts a server. */
export async function startPostgres(): Promise<Database> {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-postgres-'));
  const server = new Server(folder, await freePort());
  try {
    server.make();
    await server.start();
  } catch (error) {
    await server.remove();
    throw error;
  }
  return server;
}
