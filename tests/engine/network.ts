// The emitted firmware on the real interpreter with one circuit around it (shims/circuit.js), joined to a real
// broker by the interpreter's own network or by a model of a network chip. Time is turned by hand: it stands still
// while the broker answers, and runs while a connect stops the loop.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { Verdict } from '../../firmware/contract/codes';
import { toHex } from '../../firmware/contract/signature';
import type { MosquittoBroker } from '../support/brokers';
import { Interpreter } from '../support/interpreter';
import { pause } from '../support/interpreterPort';
import { type Board, programOf } from './firmware';
import { ADDRESS, Circuit, type Planned, SECRET } from './mcu/circuit';

/** Turns asked for at once: few, so that a condition is seen soon. */
const TURNS = 20;
const TURN_MS = 250;
const HOUR_MS = 3_600_000;
/** Time before and after a test in which every turn is taken. */
const AROUND_MS = 15_000;
/** Within this time of the plan's arrival the clock has been confirmed. */
const SETTLED_MS = 120_000;
const KEEP_ALIVE_SEC = 600;
/** How long the broker may take to answer while time stands still, and to be quiet after that, ms. */
const ANSWER_MS = 400;
const QUIET_MS = 30;
const LOOK_MS = 10;
/** Time for the interpreter to be idle after a turn, as it is between two turns of a board, ms. */
const IDLE_MS = 100;

const shim = (name: string): string => fileURLToPath(new URL(`./shims/${name}.js`, import.meta.url));

export interface Result {
  test: number;
  end: number;
  lamps: number[][];
  [field: string]: unknown;
}

export interface NetworkOptions {
  broker: MosquittoBroker;
  tests: Planned[];
  /** Shims behind circuit.js. */
  shims?: string[];
  board?: Board;
  net?: object;
  /** Called before the start, with the folder in which the interpreter runs. */
  prepare?: (folder: string) => void;
}

/** What the watchdog and the loop went through. */
export interface Counts {
  bites: number;
  hungryAt: number;
  stops: number;
  connects: number;
  gap: number;
  offGap: number;
}

export class NetworkRig {
  readonly board = new Interpreter();
  readonly circuit: Circuit;
  /** Time on the board, ms, and rising edges of the relay pin so far. */
  ms = 0;
  rises = 0;
  /** The broker gives no answer to wait for. */
  isSilent = false;

  constructor(private readonly options: NetworkOptions) {
    this.circuit = new Circuit(10_800, options.tests);
  }

  async start(): Promise<void> {
    const { broker, shims = [], board, net, prepare } = this.options;
    await this.circuit.connect(broker.url);
    prepare?.(this.board.folder);
    const boot = ['circuit', ...shims].map((name) => readFileSync(shim(name), 'latin1')).join('\n');
    await this.board.install({
      '.boot0': boot,
      '.bootcde': programOf(board),
      'np.cfg': this.config({ kind: 'host', broker: '127.0.0.1', port: broker.port, ...net }),
    });
  }

  async close(): Promise<void> {
    await this.board.close();
    await this.circuit.close();
  }

  ask<T>(expression: string): Promise<T> {
    return this.board.ask<T>(expression);
  }

  /** Takes turns until a condition holds or `untilMs` has come on the board; at rest they are `restMs` apart. */
  async until(holds: () => boolean, untilMs: number, restMs: number): Promise<void> {
    while (!holds() && this.ms < untilMs) await this.turns(restMs, untilMs);
  }

  /** Waits until the controller has settings and plan, and a clock that a second answer has confirmed. */
  async settled(restMs: number): Promise<void> {
    await this.until(() => this.circuit.hasPlan === 1, HOUR_MS, restMs);
    await this.to(this.ms + SETTLED_MS, restMs);
  }

  async to(untilMs: number, restMs: number): Promise<void> {
    await this.until(() => false, untilMs, restMs);
  }

  /**
   * Goes through the test due at `hour`, with every turn a board would have from shortly before it until the
   * supply is back and the result written.
   */
  async through(hour: number, restMs: number): Promise<void> {
    const dueMs = hour * HOUR_MS;
    await this.to(dueMs - AROUND_MS, restMs);
    const before = this.rises;
    await this.until(() => this.rises > before, dueMs + HOUR_MS, TURN_MS);
    for (let last = -1; last < this.rises; ) {
      last = this.rises;
      await this.to(this.ms + AROUND_MS, TURN_MS);
    }
  }

  /** Up to twenty turns; after one that sends something they are close together until it has been answered. */
  private async turns(restMs: number, untilMs: number): Promise<void> {
    const leftMs = untilMs - this.ms;
    const count = Math.max(1, Math.min(TURNS, Math.floor(leftMs / restMs)));
    let heard = await this.run(count, Math.max(TURN_MS, Math.min(restMs, leftMs)));
    for (let quiet = 0; heard >= 0 && quiet < 4; quiet++) {
      await this.answered(heard);
      const again = await this.run(1, TURN_MS);
      if (again >= 0) {
        heard = again;
        quiet = 0;
      }
    }
  }

  counts(): Promise<Counts> {
    const fields = ['bites', 'hungryAt', 'stops', 'connects', 'gap', 'offGap'];
    return this.ask<Counts>(`{${fields.map((name) => `${name}:rig.${name}`).join()}}`);
  }

  /** Results of tests that have arrived, in their order. */
  results(): Result[] {
    return this.circuit.records.map((text) => JSON.parse(text)).filter((record) => record.kind === 'result');
  }

  /** Each test that has a result, with how it ended and what its luminaires got: verdict and reason. */
  outcomes(): string[] {
    return this.results().map(({ test, end, lamps }) => {
      const found = new Set(
        lamps.map(([verdict, reason]) => (verdict === Verdict.Pass ? 'pass' : `${verdict} for ${reason}`)),
      );
      return `${test} ended by ${end}: ${lamps.length} ${[...found].join()}`;
    });
  }

  /** @returns pieces received so far when something was sent, otherwise -1 */
  private async run(count: number, restMs: number): Promise<number> {
    const [ms, rises, stir, heard, sent] = await this.ask<number[]>(`rig.run(${count},${restMs})`);
    [this.ms, this.rises] = [ms, rises];
    // A datagram closed before that is never given back.
    if (sent) await pause(IDLE_MS);
    return stir ? heard : -1;
  }

  /** Waits for the answer, while time stands still on the board. */
  private async answered(before: number): Promise<void> {
    let last = before;
    let quietMs = 0;
    for (
      let ms = 0;
      ms < ANSWER_MS && !this.isSilent && (last === before || quietMs < QUIET_MS);
      ms += LOOK_MS
    ) {
      await pause(LOOK_MS);
      const heard = await this.ask<number>('rig.heard');
      quietMs = heard === last ? quietMs + LOOK_MS : 0;
      last = heard;
    }
  }

  private config(net: object): string {
    return JSON.stringify({
      ...{
        address: ADDRESS,
        secret: toHex(SECRET),
        journalBytes: 49_152,
        storageAt: 0,
        nonce: 1,
        resetRegister: 0,
      },
      pins: {
        ...{
          relay: 'relay',
          enable: 'enable',
          red: 'red',
          before: 'before',
          after: 'after',
          aux: '',
          occupied: '',
        },
        ...{ stop: '', key: 'key', zero: 0.5, spanMilliamps: 4096 },
      },
      adc: { driver: 'internal', select: ['s3', 's2', 's1', 's0'], lamp: 'lamp' },
      net,
      link: {
        ...{
          user: '',
          password: '',
          keepAliveSec: KEEP_ALIVE_SEC,
          heartbeatSec: 21600,
          liveMs: 30000,
          jitter: 0.5,
        },
      },
    });
  }
}
