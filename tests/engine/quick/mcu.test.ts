// The emitted bundle on an emulated Cortex-M4 with the interpreter of a board, joined to a real Mosquitto: it
// connects, takes signed settings, a plan of 72 slots and the time, and makes a function test and a duration
// test of 16 luminaires. The emulator's clock counts instructions, so a busy machine changes nothing.
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Phase, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { hasValidSignature, signingKey } from '../../../firmware/contract/signature';
import { sha256 } from '../../../simulator/digest';
import { type MosquittoBroker, startMosquitto } from '../../support/brokers';
import { programOf } from '../firmware';
import { ADDRESS, boardConfig, Circuit, SECRET } from '../mcu/circuit';
import { hasMcu, Machine, shimText } from '../mcu/machine';
import { cyclesPerInstruction, INSTRUCTIONS_A_SECOND, SERIES, TERMS } from '../mcu/speed';

/** The shortest rated duration that settings may ask for; RATED=10800 for the longest. */
const RATED_SEC = Number(process.env.RATED || 900);
/** While at rest, only every so many-th turn is run. */
const SPARSE = 8;
/** In use at most, interpreter and shim (88) included: docs/engine.md. */
const VARIABLES_MAX = 2600;
const STACK_MAX = 12_288;
const CLOCK_MHZ = 84;

if (!hasMcu)
  console.log('Skipped: there is no emulated microcontroller in ../shared/engine beside this folder.');

describe.skipIf(!hasMcu)('on the emulated microcontroller', () => {
  const circuit = new Circuit(RATED_SEC);
  let broker: MosquittoBroker;
  let machine: Machine;
  let seriesSec: number;
  beforeAll(async () => {
    broker = await startMosquitto();
    await circuit.connect(broker.url);
    const alone = new Machine(broker.port);
    await alone.start({ '.boot0': shimText(), '.boot1': SERIES });
    seriesSec = await alone.ask<number>('series()');
    alone.close();
    machine = new Machine(broker.port);
    await machine.start({
      '.boot0': shimText(),
      '.bootcde': programOf(),
      'np.cfg': boardConfig(),
    });
  });
  afterAll(async () => {
    machine?.close();
    await circuit.close();
    await broker?.stop();
  });

  const results = () => circuit.records.map((text) => JSON.parse(text)).filter((r) => r.kind === 'result');

  async function testDone(count: number): Promise<void> {
    await machine.ask(`rig.sparse=${SPARSE}`);
    await machine.until(() => circuit.phase === Phase.Opening);
    await machine.ask('rig.sparse=1');
    await machine.until(() => results().length === count);
  }

  it('a function test and a duration test of 16 luminaires end in signed results', async () => {
    await machine.until(() => circuit.hasPlan === 1);
    circuit.wantsPlan = 2;
    await testDone(1);
    await machine.until(() => circuit.hasPlan === 2);
    await testDone(2);
    const [brief, full] = results();
    expect([brief.type, full.type]).toEqual([TestKind.Brief, TestKind.Full]);
    for (const result of [brief, full]) {
      expect(result.end).toBe(Reason.Complete);
      expect(result.lamps).toHaveLength(16);
      expect(result.lamps.map((lamp: number[]) => lamp[0])).toEqual(new Array(16).fill(Verdict.Pass));
    }
    expect(full.seconds).toBeGreaterThanOrEqual(RATED_SEC);
    const key = signingKey(SECRET, sha256);
    for (const text of circuit.records) expect(hasValidSignature(key, 'record', ADDRESS, text)).toBe(true);
    expect(machine.console.complaints).toEqual([]);
  });

  it('takes no more variables, stack and time in a turn than a board has', async () => {
    const [idle, pulsing, data] = await machine.ask<number[]>('[rig.top[0],rig.top[1],rig.top[2]]');
    const peak = await machine.ask<number>('rig.peak');
    const stack = await machine.deepestStack();
    const cycles = cyclesPerInstruction(seriesSec);
    const msOf = (sec: number) => (sec * INSTRUCTIONS_A_SECOND * cycles) / CLOCK_MHZ / 1000;
    console.log(
      `Variables at most ${peak}, stack ${stack} bytes, ${cycles.toFixed(2)} cycles an instruction ` +
        `(${((seriesSec * INSTRUCTIONS_A_SECOND) / TERMS).toFixed(0)} instructions a term), turns at rest ` +
        `${msOf(idle).toFixed(0)} ms, in a test ${msOf(pulsing).toFixed(0)} ms, data ${msOf(data).toFixed(0)} ms.`,
    );
    expect(peak).toBeLessThanOrEqual(VARIABLES_MAX);
    expect(stack).toBeLessThanOrEqual(STACK_MAX);
    for (const sec of [idle, pulsing, data]) expect(msOf(sec)).toBeLessThanOrEqual(Limit.LoopMs);
  });
});
