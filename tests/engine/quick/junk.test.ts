// What strangers may send, on the real interpreter: junk as long as a packet may be on every topic leaves the
// program's variables within the budget of the smallest board.
import { describe, expect, it } from 'vitest';
import { Limit } from '../../../firmware/contract/limits';
import { downTopics } from '../../../firmware/contract/topics';
import { encodePublish } from '../../../firmware/link/packets';
import type { Interpreter } from '../../support/interpreter';
import { programOf } from '../firmware';
import { msOf } from '../lines';
import { benchTops, metered, peakOf, play, type Tops, takeTops } from '../meter';
import { hasInterpreter } from '../present';
import { fullExtent, playOnSimulator, type Scenario } from '../scenario';

/** Most variables of 13 bytes that the program may take, and the interpreter's own among them. */
const VARIABLES_MAX = 2600;
const OWN_VARIABLES = 77;
/** Topic and head of a PUBLISH. */
const HEAD_BYTES = 64;
const JUNK_BYTES = Limit.PacketBytes - HEAD_BYTES;

/** No message at all, a signature that is wrong, and a plan whose slots never end. */
const JUNK: { [what: string]: string } = {
  'letters only': 'j'.repeat(JUNK_BYTES),
  'with a signature that is wrong': `${'j'.repeat(JUNK_BYTES - 42)},"mac":"${'0'.repeat(32)}"}`,
  'a plan without end, with a signature that is wrong': `{"v":1,"slots":"${'1,1,'.repeat((JUNK_BYTES - 60) / 4)}","mac":"${'0'.repeat(32)}"}`,
};

describe.skipIf(!hasInterpreter)('on the real interpreter', () => {
  let scenario: Scenario;
  let bench: Tops;
  let interpreter: Interpreter;
  let from: number;

  async function start(): Promise<void> {
    scenario = playOnSimulator(fullExtent(2, 900));
    bench = await benchTops(scenario);
    interpreter = await metered(scenario, programOf());
    await interpreter.ask('meter.hook()');
    const settled = scenario.trace.given.filter((line) => msOf(line) < 3_600_000);
    await play(interpreter, settled);
    await takeTops(interpreter);
    from = msOf(settled[settled.length - 1]);
  }

  it('junk on every topic stays within the variables of the budget', async () => {
    await start();
    const turn = scenario.trace.given
      .filter((line) => line[0] === 'T')[0]
      .split(' ')
      .slice(2)
      .join(' ');
    const peaks: { [what: string]: number } = {};
    try {
      for (const topic of downTopics('bench/one'))
        for (const [what, junk] of Object.entries(JUNK)) {
          const packet = Buffer.from(encodePublish(topic, junk, 0, 0, 0, 0), 'latin1').toString('hex');
          from += 1250;
          const turns = Array.from({ length: 4 }, (_, i) => `T ${from + 250 * (i + 1)} ${turn}`);
          await play(interpreter, [`D ${from} ${packet}`, ...turns]);
          const { variables, place } = peakOf(await takeTops(interpreter), bench);
          peaks[`${topic}, ${what}, in ${place}`] = variables + OWN_VARIABLES;
        }
    } finally {
      await interpreter.close();
    }
    console.log(peaks);
    expect(Math.max(...Object.values(peaks))).toBeLessThanOrEqual(VARIABLES_MAX);
  });
});
