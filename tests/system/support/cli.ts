// The command line as a person uses it: a separate process, with its output and its end.
import { type ChildProcess, spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../../../', import.meta.url));
const MAIN = 'build/host/main.js';

/** Default site. */
export const DEMO_SITE = fileURLToPath(
  new URL('../../../docs/examples/museum-of-tides.yaml', import.meta.url),
);

export interface Outcome {
  code: number | null;
  signal: NodeJS.Signals | null;
  stdout: string;
  stderr: string;
}

const running = new Set<ChildProcess>();
process.once('exit', () => {
  for (const child of running) child.kill('SIGKILL');
});

export class Command {
  stdout = '';
  stderr = '';
  /** How it ended; never rejects for an exit code. */
  readonly ended: Promise<Outcome>;
  private readonly child: ChildProcess;
  private readonly listeners = new Set<() => void>();

  /** Starts `nightproof <args>` of the installation at `root`, with `env` added to the environment. */
  constructor(args: string[], env: NodeJS.ProcessEnv = {}, root = ROOT) {
    const child = spawn(process.execPath, [MAIN, ...args], {
      cwd: root,
      env: { ...process.env, ...env },
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    this.child = child;
    running.add(child);
    child.stdout?.setEncoding('utf8').on('data', (text: string) => this.hear('stdout', text));
    child.stderr?.setEncoding('utf8').on('data', (text: string) => this.hear('stderr', text));
    this.ended = new Promise((resolve, reject) => {
      child.once('error', reject);
      child.once('close', (code, signal) => {
        running.delete(child);
        resolve({ code, signal, stdout: this.stdout, stderr: this.stderr });
        for (const listener of this.listeners) listener();
      });
    });
  }

  private hear(stream: 'stdout' | 'stderr', text: string): void {
    this[stream] += text;
    for (const listener of this.listeners) listener();
  }

  /**
   * Resolves when stdout matches.
   * @throws Error with its whole output if it ends first.
   */
  saying(pattern: RegExp): Promise<RegExpMatchArray> {
    return new Promise((resolve, reject) => {
      const look = (): void => {
        const found = this.stdout.match(pattern);
        if (found) resolve(found);
        else if (!running.has(this.child))
          reject(new Error(`It ended without saying ${pattern}:\n${this.stdout}\n${this.stderr}`));
        else return;
        this.listeners.delete(look);
      };
      this.listeners.add(look);
      look();
    });
  }

  /** Sends the signal and waits for the end. */
  end(signal: NodeJS.Signals): Promise<Outcome> {
    if (running.has(this.child)) this.child.kill(signal);
    return this.ended;
  }
}

/** Lines that a long run writes now and then, where nothing else has been asked. */
const PROGRESS = /^\d+ (of \d+ )?(days|runs|entries checked)(, about \d+ s left)?\n/gm;

/** Runs `nightproof <args>` to its end. On a slow machine it tells how far it is, which is left out of `stderr`. */
export async function run(...args: string[]): Promise<Outcome> {
  const outcome = await new Command(args).ended;
  return { ...outcome, stderr: outcome.stderr.replace(PROGRESS, '') };
}
