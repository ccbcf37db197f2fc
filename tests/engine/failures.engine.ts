// What no program can catch, provoked on the real interpreter in the middle of a test, with the supply open
// and the interpreter itself turning the loop: the pulses must stop, the watchdog must reset the board, and
// the next start must close the record. What can be caught must be survived.
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { Reason, Verdict } from '../../firmware/contract/codes';
import { converse } from './broker';
import { Hardware } from './hardware';
import { msOf } from './lines';
import { Rig } from './rig';
import { playOnSimulator, type Scenario, untraced } from './scenario';

/** Time in the brief test at which it goes wrong, ms. */
const INTO_TEST_MS = 20_000;
/** A healthy circuit at rest: supply at both senses. */
const SUPPLY_ON = 3;
/** Rising edges in the lease of an opening, 4 s: whatever goes wrong, no more follow. */
const EDGES_MAX = 8;
/** Rising edges that show that the pulses continue. */
const EDGES = 4;
const START_LIMIT_MS = 120_000;

const rig = new Rig();
const hardware = new Hardware(rig);
let scenario: Scenario;
/** Lines of the trace up to the middle of the brief test, and the inputs before it. */
let untilTest: string[];
let rest: string;

beforeAll(async () => {
  scenario = playOnSimulator(untraced());
  const began = msOf(scenario.trace.told.filter((line) => line[0] === 'P')[0]);
  untilTest = scenario.trace.given.filter((line) => msOf(line) < began + INTO_TEST_MS);
  const lamps = untilTest.filter(
    (line) => line[0] === 'T' && msOf(line) < began && line.split(' ').length > 3,
  );
  rest = `${SUPPLY_ON} ${lamps[lamps.length - 1].split(' ')[3]}`;
  await rig.setUp(scenario, ['rig', 'live']);
});
afterAll(() => rig.close());

beforeEach(async () => {
  rig.board.complaints.length = 0;
  await rig.fresh();
  const told = await rig.play(untilTest);
  expect(told.filter((line) => line[0] === 'P').map((line) => line.slice(-1))).toEqual(['1']);
  await hardware.start();
  await hardware.edges(EDGES);
});

/** Runs a statement in the interpreter. */
function provoke(statement: string): Promise<unknown> {
  return rig.ask(`(eval(${JSON.stringify(statement)}),0)`);
}

/** The next start makes no pulse and sends the interrupted test's record. */
async function closesAsReset(): Promise<void> {
  rig.restarted();
  const isResult = (m: { topic: string; payload: string }) =>
    m.topic.endsWith('/record') && JSON.parse(m.payload).kind === 'result';
  const { messages, told } = await converse(rig, rest, isResult, START_LIMIT_MS);
  const result = JSON.parse(messages.filter(isResult)[0]?.payload ?? '{}');
  expect(result.end).toBe(Reason.Reset);
  expect(result.lamps.map((lamp: number[]) => lamp.slice(0, 2))).toEqual(
    result.lamps.map(() => [Verdict.Void, Reason.Reset]),
  );
  expect(result.lamps).toHaveLength(8);
  expect(told.filter((line) => line[0] === 'P')).toEqual([]);
}

describe('pulses stop, the watchdog resets the board, and the test is void', () => {
  it.each([
    ['memory runs out in a turn', 'rig.harm=function(){var a=[];for(;;)a.push(99999)};', /MEMORY/],
    [
      'memory runs out and stays full',
      'rig.harm=function(){rig.full=[];for(;;)rig.full.push(99999)};',
      /MEMORY/,
    ],
    [
      'the stack overflows',
      // Nested brackets use only the stack: nested calls would use up the variables first.
      'rig.harm=function(){var s="";while(s.length<9000)s+="((((((((((";eval(s)};',
      /Interrupted|STACK/,
    ],
    ['every turn throws', 'rig.harm=function(){throw new Error("bench")};', /^$/],
    ['a turn never ends', 'rig.harm=function(){for(;;);};', /^$/],
    ['the clock throws', 'rig.late=function(){throw new Error("bench")};', /bench/],
  ])('when %s', async (_what, statement, complaint) => {
    await provoke(statement);
    expect(await hardware.bites()).toBeLessThanOrEqual(EDGES_MAX);
    expect(rig.board.complaints.join(' ')).toMatch(complaint);
    await rig.board.watchdogReset();
    await closesAsReset();
  });

  it('when the console interrupts a turn', async () => {
    await provoke('rig.harm=function(){print("\\x02harm");for(;;);}');
    await hardware.heard('harm');
    rig.board.type('\x03');
    expect(await hardware.bites()).toBeLessThanOrEqual(EDGES_MAX);
    expect(rig.board.complaints.join(' ')).toMatch(/Interrupted/);
    await rig.board.watchdogReset();
    await closesAsReset();
  });
});

describe('the test continues, and a power cut after it makes it void', () => {
  const thrower = 'rig.late=function(){rig.late=undefined;throw new Error("bench")};';
  it.each([
    ['an exception in the callback of data', `${thrower}rig.data(atob("0AA="));`],
    ['an exception in the callback of an opened connection', `${thrower}rig.open();`],
    ['an exception in the callback of a closed connection', `${thrower}rig.close(false);`],
    ['an exception that nobody catches', 'throw new Error("bench");'],
  ])('after %s', async (_what, statement) => {
    await provoke(`setTimeout(function(){${statement}},1)`);
    await expect.poll(() => rig.board.complaints.join()).toMatch(/bench/);
    await hardware.edges(EDGES);
    await rig.board.powerCut();
    await closesAsReset();
  });

  it('after the console interrupts between two turns', async () => {
    rig.board.type('\x03');
    await hardware.edges(EDGES);
    expect(rig.board.complaints).toEqual([]);
    await rig.board.powerCut();
    await closesAsReset();
  });
});
