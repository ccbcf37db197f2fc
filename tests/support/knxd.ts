// Debian's knxd as the KNX interface of a building, with a bus on which nothing is wired, and its tools as the other devices
// on that bus.
import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { expect } from 'vitest';

/** Local port of every UDP socket, as Linux lists them. */
const udpPorts = (): number[] =>
  readFileSync('/proc/net/udp', 'utf8')
    .split('\n')
    .slice(1, -1)
    .map((line) => Number.parseInt(line.trim().split(/\s+/)[1].split(':')[1], 16));

export class Knxd {
  /** What the other devices have heard, e.g. "Write 5/0/1: 01". */
  readonly heard: string[] = [];
  private readonly folder = mkdtempSync(join(tmpdir(), 'nightproof-knx-'));
  private readonly children: ChildProcess[] = [];
  private knxd: ChildProcess | undefined;

  constructor(readonly port: number) {}

  private get socket(): string {
    return join(this.folder, 'bus');
  }

  private run(program: string, args: string[]): ChildProcess {
    const child = spawn(program, args, { stdio: ['ignore', 'pipe', 'ignore'] });
    this.children.push(child);
    return child;
  }

  /** Starts it, again after `kill`; resolves when it takes connections and the other devices listen. */
  async start(): Promise<void> {
    const own = ['-e', '0.0.1', '-E', '0.0.2:8', '-c', '-u', this.socket];
    const knxd = this.run('knxd', [...own, '-T', '-S', `224.0.23.12:${this.port}`, '-b', 'dummy:']);
    this.knxd = knxd;
    const isUp = () => existsSync(this.socket) && udpPorts().includes(this.port);
    await expect.poll(() => knxd.exitCode !== null || isUp()).toBe(true);
    // It joins a multicast group, which loopback alone does not offer.
    if (knxd.exitCode !== null)
      throw new Error(`knxd ended: it needs UDP port ${this.port}, and a network beside loopback.`);
    const listener = this.run('knxtool', ['groupsocketlisten', `local:${this.socket}`]);
    let text = '';
    listener.stdout?.on('data', (bytes: Buffer) => {
      const lines = (text + bytes).split('\n');
      text = lines.pop() ?? '';
      for (const line of lines) {
        const [, verb, , to, value = ''] = /^(\w+) from (\S+) to ([\d/]+)(?:: (.*))?$/.exec(line) ?? [];
        if (verb) this.heard.push(`${verb} ${to} ${value.trim()}`.trim());
      }
    });
    // It listens once it hears what another device says.
    await expect
      .poll(async () => {
        await this.write('31/7/255', 0);
        return this.heard.includes('Write 31/7/255 00');
      })
      .toBe(true);
  }

  /** Another device writes one bit. */
  async write(to: string, value: 0 | 1): Promise<void> {
    await this.tool('groupswrite', to, String(value));
  }

  /** Another device asks. */
  async read(to: string): Promise<void> {
    await this.tool('groupread', to);
  }

  /** What it has heard last for a group address since it was started, e.g. "Write 01"; '' for nothing. */
  async remembered(to: string): Promise<string> {
    const said = await this.tool('groupcacheread', to).catch(() => '');
    const [, verb, value] = /^(\w+) from \S+: (.*)$/m.exec(said) ?? [];
    return verb ? `${verb} ${value.trim()}` : '';
  }

  /** Whoever waits for it must not hold up the client under test, which has to answer meanwhile. */
  private async tool(verb: string, ...args: string[]): Promise<string> {
    const { stdout } = await promisify(execFile)('knxtool', [verb, `local:${this.socket}`, ...args]);
    return stdout;
  }

  /** Has it stand still, as if the machine it runs on had other work; what comes meanwhile waits for it. */
  pause(): void {
    this.knxd?.kill('SIGSTOP');
  }

  resume(): void {
    this.knxd?.kill('SIGCONT');
  }

  /** Ends it without a word to anybody. */
  async kill(): Promise<void> {
    const running = this.children.splice(0);
    const gone = running.filter(({ exitCode }) => exitCode === null).map((child) => once(child, 'exit'));
    for (const child of running) child.kill('SIGKILL');
    await Promise.all(gone);
    rmSync(this.socket, { force: true });
  }

  async end(): Promise<void> {
    await this.kill();
    rmSync(this.folder, { recursive: true, force: true });
  }
}
