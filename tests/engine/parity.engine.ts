// A full circuit on the real interpreter: the firmware does there what it does in the simulator, through a function
// test and a duration test of 3 h. DAYS=31 plays a month, a function test at its end, and then it uses no more
// memory at the end than at the beginning.
import { afterAll, beforeAll, expect, it } from 'vitest';
import { msOf } from './lines';
import { Rig } from './rig';
import { fullExtent, playOnSimulator, type Scenario } from './scenario';

const DAY_MS = 86_400_000;
/** Three hold both tests. */
const DAYS = Number(process.env.DAYS || 3);
/** Long enough to compare memory. */
const isLong = DAYS >= 12;
/**
 * The brief test comes 36 hours after the start; the full test may come only when the batteries have
 * recharged from it.
 */
const FULL_HOUR = 61;
const SETTLED_DAY = 5;
/** Variables by which one day may differ from another, depending on what is being handled. */
const PLAY_IN_VARIABLES = 16;

const rig = new Rig();
let scenario: Scenario;

/** Lines of the trace from one instant until before another, ms. */
function between(lines: string[], from: number, to: number): string[] {
  return lines.filter((line) => msOf(line) >= from && msOf(line) < to);
}

beforeAll(async () => {
  scenario = playOnSimulator(fullExtent(DAYS, 10800, FULL_HOUR));
  await rig.setUp(scenario);
});
afterAll(() => rig.close());

it('has a brief and a full test of all 16 luminaires within 30 hours in its trace', () => {
  const results = scenario.records.map((text) => JSON.parse(text)).filter((r) => r.kind === 'result');
  expect(results.slice(0, 2).map((r) => [r.type, r.seconds >= (r.type === 2 ? 10800 : 90)])).toEqual([
    [1, true],
    [2, true],
  ]);
  expect(results[1].lamps).toHaveLength(16);
  expect(results[1].started + results[1].seconds - results[0].started).toBeLessThan(30 * 3600);
});

it(`writes and pulses through ${DAYS} days as in the simulator${isLong ? ', and uses no more memory at the end' : ''}`, async () => {
  const { given, told } = scenario.trace;
  const use: number[] = [];
  for (let day = 0; day < DAYS; day++) {
    const did = await rig.play(between(given, day * DAY_MS, (day + 1) * DAY_MS));
    expect(did).toEqual(between(told, day * DAY_MS, (day + 1) * DAY_MS));
    use.push((await rig.memory()).usage);
  }
  const { total } = await rig.memory();
  console.log(
    `Variables in use: after each day ${use.join(' ')}; between turns at most ${rig.peak} of ${total}.`,
  );
  expect(await rig.watchdog()).toEqual([0, 1]);
  expect(rig.board.complaints).toEqual([]);
  if (!isLong) return;
  const later = use.slice(SETTLED_DAY);
  expect(Math.max(...later.slice(-5))).toBeLessThanOrEqual(
    Math.max(...later.slice(0, 5)) + PLAY_IN_VARIABLES,
  );
  expect(later[later.length - 1]).toBeLessThanOrEqual(later[0] + PLAY_IN_VARIABLES);
});
