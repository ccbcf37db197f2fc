// One life of a host's process: from its start until it ends or is ended.
import { type ChildProcess, fork } from 'node:child_process';
import type { HostJob, HostPlace, HostWord } from './words';

export interface LifeOptions {
  /** Script of the process. */
  program: string;
  place: HostPlace;
  env: NodeJS.ProcessEnv;
  /** A message of the host to a controller. */
  onMessage: (topic: string, payload: string) => void;
  onProblem: (sentence: string) => void;
}

/** How a process ended. */
export interface End {
  code: number | null;
  signal: NodeJS.Signals | null;
  /** The last it wrote to stderr. */
  said: string;
}

const SAID_MAX = 2000;

export class Life {
  /** Once it is over and all it said has been heard. */
  readonly over: Promise<End>;
  private readonly child: ChildProcess;
  private answered: (isDone: boolean) => void = () => {};
  private isOver = false;

  constructor(private readonly o: LifeOptions) {
    this.child = fork(o.program, [JSON.stringify(o.place)], {
      ...{ env: o.env, execArgv: [], stdio: ['ignore', 'ignore', 'pipe', 'ipc'] },
    });
    let said = '';
    this.child.stderr?.on('data', (bytes: Buffer) => {
      said = (said + bytes.toString()).slice(-SAID_MAX);
    });
    this.child.on('message', (word: HostWord) => this.hear(word));
    // What it said before it ended may be read after its end.
    this.over = new Promise((resolve) => {
      this.child.on('close', (code, signal) => {
        this.isOver = true;
        resolve({ code, signal, said });
        this.answered(false);
      });
    });
  }

  private hear(word: HostWord): void {
    if (word === 'up' || word === 'done') this.answered(true);
    else if ('topic' in word) this.o.onMessage(word.topic, word.payload);
    else this.o.onProblem(word.problem);
  }

  private answer(): Promise<boolean> {
    if (this.isOver) return Promise.resolve(false);
    return new Promise((resolve) => {
      this.answered = resolve;
    });
  }

  /** @returns false if it ended before it was up */
  up(): Promise<boolean> {
    return this.answer();
  }

  /** Gives it a job. @returns false if it ended before it said that it was done */
  ask(job: HostJob): Promise<boolean> {
    if (this.isOver) return Promise.resolve(false);
    const answer = this.answer();
    // What cannot be sent has ended, and is heard of as such.
    this.child.send(job, () => {});
    return answer;
  }

  /** Ends it at once, wherever it is. */
  kill(): Promise<End> {
    this.child.kill('SIGKILL');
    return this.over;
  }
}
