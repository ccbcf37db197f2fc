// Ingest workers as people start them: processes of the command line.
import { type ChildProcess, spawn } from 'node:child_process';
import { resolve } from 'node:path';

const PROGRAM = resolve('build/host/main.js');

export class WorkerProcess {
  private process: ChildProcess | undefined;

  constructor(
    /** Folder with the site secret. */
    private readonly folder: string,
    private readonly site: string,
    private readonly nodes: readonly string[],
    private readonly db: string,
  ) {}

  start(): void {
    const args = [PROGRAM, 'ingest-worker', this.site, '--amqp', ...this.nodes, '--db', this.db];
    this.process = spawn(process.execPath, args, {
      cwd: this.folder,
      stdio: ['ignore', 'ignore', 'inherit'],
    });
  }

  kill(): Promise<void> {
    const worker = this.process;
    this.process = undefined;
    if (!worker || worker.exitCode !== null || worker.signalCode !== null) return Promise.resolve();
    return new Promise((done) => {
      worker.on('exit', () => done());
      worker.kill('SIGKILL');
    });
  }
}
