// A test on the real interpreter in which things go wrong: the supply is open, the interpreter itself turns
// the loop, and what no program can catch is provoked. The pulses must stop, the watchdog must reset the
// board, and the next start must close the record. What can be caught must be survived.
import { expect } from 'vitest';
import { Reason, Verdict } from '../../firmware/contract/codes';
import { converse } from './broker';
import { Hardware } from './hardware';
import { msOf } from './lines';
import { Rig } from './rig';
import { playOnSimulator, soonTested } from './scenario';

/** Time in the brief test at which it goes wrong, ms: all lamps have been judged at 5 s. */
const INTO_TEST_MS = 7000;
/** A healthy circuit at rest: supply at both senses. */
const SUPPLY_ON = 3;
/** Rising edges in the lease of an opening, 4 s: whatever goes wrong, no more follow. */
const EDGES_MAX = 8;
/** Rising edges that show that the pulses continue. */
const EDGES = 4;
const START_LIMIT_MS = 120_000;

/** What to provoke, by a statement in the interpreter, and what the interpreter then complains of. */
export type Harm = [what: string, statement: string, complaint: RegExp];

export class Failing {
  readonly rig = new Rig();
  readonly hardware = new Hardware(this.rig);
  /** Lines of the trace up to the middle of the brief test, and the inputs before it. */
  private untilTest: string[] = [];
  private rest = '';

  async setUp(): Promise<void> {
    const scenario = playOnSimulator(soonTested());
    const began = msOf(scenario.trace.told.filter((line) => line[0] === 'P')[0]);
    this.untilTest = scenario.trace.given.filter((line) => msOf(line) < began + INTO_TEST_MS);
    const lamps = this.untilTest.filter(
      (line) => line[0] === 'T' && msOf(line) < began && line.split(' ').length > 3,
    );
    this.rest = `${SUPPLY_ON} ${lamps[lamps.length - 1].split(' ')[3]}`;
    await this.rig.setUp(scenario, ['rig', 'live']);
  }

  /** Takes an unused controller into the middle of its brief test, on the real clock. */
  async begin(): Promise<void> {
    const { rig, hardware } = this;
    rig.board.complaints.length = 0;
    await rig.fresh();
    const told = await rig.play(this.untilTest);
    expect(told.filter((line) => line[0] === 'P').map((line) => line.slice(-1))).toEqual(['1']);
    await hardware.start();
    await hardware.edges(EDGES);
  }

  /** Runs a statement in the interpreter. */
  provoke(statement: string): Promise<unknown> {
    return this.rig.ask(`(eval(${JSON.stringify(statement)}),0)`);
  }

  /** Interrupts at the console, probably between two turns. @returns whether it was within one. */
  async interrupts(): Promise<boolean> {
    this.rig.board.type('\x03');
    return !(await this.hardware.pulses(EDGES));
  }

  /** The pulses stop, the watchdog resets the board, and the test is void. */
  async stops(complaint: RegExp): Promise<void> {
    expect(await this.hardware.bites()).toBeLessThanOrEqual(EDGES_MAX);
    expect(this.rig.board.complaints.join(' ')).toMatch(complaint);
    await this.rig.board.watchdogReset();
    await this.closesAsReset();
  }

  /** The test continues, and a power cut after it makes it void. */
  async continues(complaint: RegExp): Promise<void> {
    await expect.poll(() => this.rig.board.complaints.join()).toMatch(complaint);
    await this.hardware.edges(EDGES);
    await this.rig.board.powerCut();
    await this.closesAsReset();
  }

  /** The next start makes no pulse and sends the interrupted test's record. */
  private async closesAsReset(): Promise<void> {
    this.rig.restarted();
    const isResult = (m: { topic: string; payload: string }) =>
      m.topic.endsWith('/record') && JSON.parse(m.payload).kind === 'result';
    const { messages, told } = await converse(this.rig, this.rest, isResult, START_LIMIT_MS);
    const result = JSON.parse(messages.filter(isResult)[0]?.payload ?? '{}');
    expect(result.end).toBe(Reason.Reset);
    expect(result.lamps.map((lamp: number[]) => lamp.slice(0, 2))).toEqual(
      result.lamps.map(() => [Verdict.Void, Reason.Reset]),
    );
    expect(result.lamps).toHaveLength(8);
    expect(told.filter((line) => line[0] === 'P')).toEqual([]);
  }
}
