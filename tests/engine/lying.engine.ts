// Parts of the board that lie or refuse in the middle of a test, on the real interpreter in the trace's time:
// a flash that cannot be written, a converter that returns no number. The relay must follow only what is
// proven.
import { afterAll, afterEach, beforeAll, beforeEach, expect, it } from 'vitest';
import { Reason, Verdict } from '../../firmware/contract/codes';
import { msOf } from './lines';
import { Rig } from './rig';
import { playOnSimulator, type Scenario, untraced } from './scenario';

const TURN_MS = 250;
/** A healthy circuit at rest: supply at both senses. */
const SUPPLY_ON = 3;
const INTO_TEST_MS = 20_000;
/** Longer than the firmware waits before it retries writing a record. */
const RETRY_MS = 15_000;

const rig = new Rig();
let scenario: Scenario;
/** When the brief test's pulses begin and end in the simulator, ms. */
let began: number;
let ended: number;

beforeAll(async () => {
  scenario = playOnSimulator(untraced());
  [began, ended] = scenario.trace.told.filter((line) => line[0] === 'P').map(msOf);
  await rig.setUp(scenario);
});
afterAll(() => rig.close());

afterEach(async () => {
  expect(await rig.watchdog()).toEqual([0, 1]);
});

beforeEach(async () => {
  rig.board.complaints.length = 0;
  await rig.fresh();
});

function between(from: number, to: number): string[] {
  return scenario.trace.given.filter((line) => msOf(line) >= from && msOf(line) < to);
}

/** Turns in which nothing changes: with the same inputs as before, or with others. */
function idle(from: number, to: number, inputs?: number): string[] {
  const turns = between(0, from).filter((line) => line[0] === 'T');
  const bits = inputs ?? turns[turns.length - 1].split(' ')[2];
  const lines: string[] = [];
  for (let ms = from; ms < to; ms += TURN_MS) lines.push(`T ${ms} ${bits}`);
  return lines;
}

/** Results that the firmware sent, by the text of their messages. */
function results(told: string[]): { end: number; lamps: number[][] }[] {
  const texts = told
    .filter((line) => line[0] === 'W')
    .map((line) => Buffer.from(line.split(' ')[2], 'hex').toString('latin1'));
  return texts
    .filter((text) => text.includes('"kind":"result"'))
    .map((text) => JSON.parse(text.slice(text.indexOf('{"v"'))));
}

const pulses = (told: string[]): string[] => told.filter((line) => line[0] === 'P');

const REFUSE =
  '(function(){var s=require("Storage");rig.wrt=s.write;s.write=function(){throw new Error("bench")}})()';
const ALLOW = '(function(){require("Storage").write=rig.wrt})()';

it('opens nothing when the intent cannot be written', async () => {
  await rig.play(between(0, began - 30_000));
  await rig.ask(REFUSE);
  const told = await rig.play(between(began - 30_000, began + INTO_TEST_MS));
  expect(pulses(told)).toEqual([]);
  expect(rig.board.complaints).toEqual([]);
});

it('releases the relay in time when the result cannot be written, and writes it once the flash works again', async () => {
  await rig.play(between(0, began + INTO_TEST_MS));
  await rig.ask(REFUSE);
  const told = await rig.play(between(began + INTO_TEST_MS, ended + 5000));
  expect(pulses(told)).toEqual([`P ${ended} 0`]);
  expect(results(told)).toEqual([]);
  await rig.ask(ALLOW);
  const later = results(await rig.play(idle(ended + 5000, ended + 5000 + RETRY_MS)));
  expect(later.map((result) => result.end)).toEqual([Reason.Complete]);
  expect(rig.board.complaints).toEqual([]);
});

it('passes no lamp on readings that are not numbers, and releases the relay', async () => {
  const open = await rig.play(between(0, began + INTO_TEST_MS));
  expect(pulses(open)).toEqual([`P ${began} 1`]);
  await rig.ask('(global.analogRead=function(){return NaN},1)');
  const told: string[] = [];
  let ms = began + INTO_TEST_MS;
  for (; pulses(told).length === 0 && ms <= ended; ms += 1000)
    told.push(...(await rig.play(between(ms, ms + 1000))));
  expect(pulses(told).map((line) => line.slice(-1))).toEqual(['0']);
  // The trace itself keeps the supply off until the simulator's test ends.
  told.push(...(await rig.play(idle(ms, ms + 60_000, SUPPLY_ON))));
  expect(pulses(told)).toHaveLength(1);
  const found = results(told);
  expect(found).toHaveLength(1);
  expect(found[0].lamps.filter((lamp) => lamp[0] === Verdict.Pass)).toEqual([]);
  expect(rig.board.complaints).toEqual([]);
});
