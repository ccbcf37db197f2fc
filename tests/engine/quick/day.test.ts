// Two days of a full circuit on the real interpreter: the firmware does there, byte for byte, what it does in
// the simulator. More days are played by parity.engine.ts.
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { hasInterpreter } from '../present';
import { Rig } from '../rig';
import { fullExtent, playOnSimulator, type Scenario } from '../scenario';

const DAYS = 2;

describe.skipIf(!hasInterpreter)('two days on the real interpreter', () => {
  let rig: Rig;
  let scenario: Scenario;
  beforeAll(async () => {
    rig = new Rig();
    scenario = playOnSimulator(fullExtent(DAYS, 10800));
    await rig.setUp(scenario);
  });
  afterAll(() => rig?.close());

  it('have the writes and pulses of the simulator, with a function test of 16 luminaires', async () => {
    const { given, told } = scenario.trace;
    expect(told.filter((line) => line[0] === 'P')).toHaveLength(2);
    expect(await rig.play(given)).toEqual(told);
    expect(rig.board.complaints).toEqual([]);
    expect(await rig.watchdog()).toEqual([0, 1]);
    const { total } = await rig.memory();
    console.log(`Between turns at most ${rig.peak} of ${total} variables in use.`);
  });
});
