// Rounds of misfortune for one log book: real broker, real host process under load, real SQLite, and in each round
// one thing that ends or robs it. After each, what was acknowledged must be there.
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { openLogbook } from '../../../host/logbook/engines/open';
import type { Verification } from '../../../host/logbook/logbook';
import { cutPower, type DiskFault, onDisk } from '../../../host/rehearse/disk/faultyDisk';
import { newRandom, nextUnit } from '../../../simulator/random';
import { startMosquitto } from '../../support/brokers';
import { KEYS } from '../logbook/records';
import { type Sender, startSender } from './sender';

const ROOT = fileURLToPath(new URL('../../../', import.meta.url));
const SITE = 'demo';
const JOURNAL = '0a1b2c3d';
const CONTROLLERS = 4;
/** Records of one controller per round, on average; and the longest wait for them, ms, if a fault stops them. */
const PER_ROUND = 40;
const ROUND_MS = 1000;
/** Longest wait for a host to start, or to say that a file is gone, ms. */
const START_MS = 60_000;
const LOOK_MS = 10;

const FAULTS: DiskFault[] = ['none', 'none', 'full', 'refused', 'torn', 'unreadable', 'unsynced'];
/** Files taken away under the host. */
const REMOVED = ['log.db', 'log.db-wal', 'log.db*'];

export interface RoundsReport {
  rounds: number;
  /** How often each thing happened. */
  what: Record<string, number>;
  /** Sectors that power cuts took back. */
  sectorsLost: number;
  acknowledged: number;
  /** Acknowledged and not in the log book after some round. */
  lost: number;
  entries: number;
  verification: Verification;
  kept: number;
}

/** The host as one file, so that hundreds of starts take little. */
async function bundled(): Promise<string> {
  const outfile = join(ROOT, 'build', `rounds-${process.pid}.mjs`);
  const entry = fileURLToPath(new URL('./ingestProcess.ts', import.meta.url));
  const form = { bundle: true, platform: 'node', format: 'esm', packages: 'external' } as const;
  await build({ ...form, entryPoints: [entry], outfile, logLevel: 'error' });
  return outfile;
}

class Rounds {
  private readonly db: string;
  private readonly undo: string;
  private readonly random: () => number;
  private said = '';
  private readonly report: Pick<RoundsReport, 'what' | 'sectorsLost' | 'lost'> = {
    what: {},
    sectorsLost: 0,
    lost: 0,
  };

  constructor(
    private readonly folder: string,
    private readonly program: string,
    private readonly broker: string,
    private readonly senders: Sender[],
    seed: number,
  ) {
    this.db = join(folder, 'log.db');
    this.undo = join(folder, 'undo');
    const numbers = newRandom(seed);
    this.random = () => nextUnit(numbers);
  }

  private start(fault: DiskFault): ChildProcess {
    const after = Math.floor(this.random() * (fault === 'unreadable' ? 30 : 60));
    const calls = 1 + Math.floor(this.random() * 60);
    this.said = '';
    const host = spawn(process.execPath, [this.program, this.db, this.broker, SITE], {
      stdio: ['ignore', 'pipe', 'ignore'],
      env: onDisk({ fault, after, calls, undo: this.undo }),
    });
    host.stdout?.on('data', (bytes: Buffer) => {
      this.said += bytes.toString();
    });
    return host;
  }

  private acked(): number {
    return this.senders.reduce((sum, sender) => sum + sender.acked(), 0);
  }

  private async until(isDone: () => boolean, host: ChildProcess, patienceMs: number): Promise<void> {
    const isOver = (): boolean => isDone() || host.exitCode !== null || host.signalCode !== null;
    for (let waited = 0; waited < patienceMs && !isOver(); waited += LOOK_MS) await sleep(LOOK_MS);
  }

  lost(): number {
    return this.report.lost;
  }

  private count(what: string): void {
    this.report.what[what] = (this.report.what[what] ?? 0) + 1;
  }

  /** Takes files away and does what the host then says. */
  private async remove(host: ChildProcess): Promise<void> {
    const which = REMOVED[Math.floor(this.random() * REMOVED.length)];
    this.count(`removed: ${which}`);
    const isMeant = (name: string) =>
      which === 'log.db*' ? /^log\.db(-wal|-shm)?$/.test(name) : name === which;
    for (const name of readdirSync(this.folder).filter(isMeant)) rmSync(join(this.folder, name));
    const isSaved = (): boolean => /copied to .*rescued/.test(this.said);
    await this.until(isSaved, host, START_MS);
    if (!isSaved()) throw new Error(`The host does not say that ${which} is gone, but: ${this.said}`);
    await this.kill(host);
    for (const end of ['', '-wal', '-shm']) rmSync(this.db + end, { force: true });
    renameSync(`${this.db}.rescued`, this.db);
    rmSync(this.undo, { force: true });
  }

  private async kill(host: ChildProcess): Promise<void> {
    if (host.exitCode !== null || host.signalCode !== null) return;
    const ended = once(host, 'exit');
    host.kill('SIGKILL');
    await ended;
  }

  /** One round. What was acknowledged before the host was ended must be in the log book after it. */
  async round(number: number): Promise<void> {
    const isRobbed = number % 5 === 4;
    const fault = isRobbed ? 'none' : FAULTS[Math.floor(this.random() * FAULTS.length)];
    const goal = this.acked() + Math.floor(this.random() * 2 * PER_ROUND * this.senders.length);
    const host = this.start(fault);
    // Some rounds end it while it is still starting.
    if (isRobbed || this.random() < 0.9) await this.until(() => this.said.includes('up'), host, START_MS);
    await this.until(() => this.acked() >= goal, host, ROUND_MS);
    if (isRobbed) await this.remove(host);
    else {
      this.count(fault === 'none' ? 'killed' : `killed on a disk that is ${fault}`);
      await this.kill(host);
      if (this.random() < 0.5) {
        this.count('power cut');
        this.report.sectorsLost += cutPower(this.undo, this.random);
      }
    }
    await this.check();
  }

  private async check(): Promise<void> {
    const acked = this.senders.map((sender) => sender.acked());
    const logbook = await openLogbook(this.db);
    for (const [i, { address }] of this.senders.entries())
      this.report.lost += Math.max(0, acked[i] - (await logbook.through(address, JOURNAL)));
    await logbook.close();
  }

  /** A last host on a good disk takes the rest. */
  async finish(rounds: number): Promise<RoundsReport> {
    const host = this.start('none');
    await Promise.all(this.senders.map((sender) => sender.until(sender.last())));
    await this.kill(host);
    const logbook = await openLogbook(this.db);
    const found = {
      ...{ rounds, acknowledged: this.acked(), entries: await logbook.entries() },
      ...{ verification: await logbook.verify(KEYS), kept: await logbook.evidenceCount() },
    };
    await logbook.close();
    return { ...this.report, ...found };
  }
}

/** Plays this many rounds; the same seed draws the same misfortunes. */
export async function playRounds(
  rounds: number,
  seed: number,
  onRound: (round: number, lost: number) => void = () => {},
): Promise<RoundsReport> {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-rounds-'));
  const program = await bundled();
  const broker = await startMosquitto();
  const senders = Array.from({ length: CONTROLLERS }, (_, i) =>
    startSender(broker.url, `${SITE}/circuit-${i}`),
  );
  try {
    const play = new Rounds(folder, program, broker.url, senders, seed);
    for (let round = 0; round < rounds; round++) {
      await play.round(round);
      onRound(round + 1, play.lost());
    }
    return await play.finish(rounds);
  } finally {
    for (const sender of senders) sender.stop();
    await broker.kill();
    rmSync(program, { force: true });
    rmSync(folder, { recursive: true, force: true });
  }
}
