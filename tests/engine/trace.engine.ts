// A trace that the firmware records on the real interpreter replays on a desktop to the same records.
import { afterAll, beforeAll, expect, it } from 'vitest';
import { replay } from '../../simulator/replay/replay';
import { readTrace } from '../../simulator/replay/trace';
import { msOf } from './lines';
import { Rig } from './rig';
import { playOnSimulator, type Scenario } from './scenario';

/** After the brief test's end, when its whole trace has been sent. */
const AFTER_MS = 600_000;

const rig = new Rig();
let scenario: Scenario;

beforeAll(async () => {
  scenario = playOnSimulator();
  await rig.setUp(scenario);
});
afterAll(() => rig.close());

/** Records that the firmware sent, by the text of their messages. */
function recordsIn(told: string[]): string[] {
  const texts = told
    .filter((line) => line[0] === 'W')
    .map((line) => Buffer.from(line.split(' ')[2], 'hex').toString('latin1'));
  return texts.filter((text) => text.includes('/record')).map((text) => text.slice(text.indexOf('{"v"')));
}

it('taken on the interpreter gives the same records on a desktop, byte for byte', async () => {
  const ended = scenario.trace.told.filter((line) => line[0] === 'P').map(msOf)[1];
  const told = await rig.play(scenario.trace.given.filter((line) => msOf(line) < ended + AFTER_MS));
  const trace = readTrace(recordsIn(told));
  const again = replay(trace);
  expect(again.difference).toBeUndefined();
  expect(trace.isWhole).toBe(true);
  expect(again.same).toBe(trace.bodies.length);
  expect(trace.bodies.some((body) => body.includes('"kind":"result"'))).toBe(true);
});
