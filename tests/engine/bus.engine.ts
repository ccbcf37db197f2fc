// Lamps read through modules on a bus, on the real interpreter: a duration test has the verdicts of the converter,
// and each fault of the bus is void for its own reason. A function test is in quick/bus.test.ts.
import { afterEach, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import { BusCircuit, verdictsOf } from './busCircuit';

let circuit: BusCircuit;
afterEach(() => circuit.close());

it('each fault of the bus makes its luminaire void for its own reason, and the others are judged', async () => {
  const [silent, slow, clashing, noisy] = [2, 4, 8, 12];
  circuit = new BusCircuit(TestKind.Brief, new Map([[clashing, { counts: [333] }]]), new Map([[noisy, 0.1]]));
  circuit.modules.set(silent, { counts: [0], lateMs: Number.POSITIVE_INFINITY });
  circuit.slow.add(slow);
  await circuit.setUp();
  const result = await circuit.test();
  const expected = verdictsOf(circuit.expected);
  expected[silent - 1] = [Verdict.Void, Reason.SensorSilent];
  expected[slow - 1] = [Verdict.Void, Reason.SensorSlow];
  expected[clashing - 1] = [Verdict.Void, Reason.SensorClash];
  expected[noisy - 1] = [Verdict.Void, Reason.SensorGarbled];
  expect(verdictsOf(result)).toEqual(expected);
  expect(circuit.rig.board.complaints).toEqual([]);
});

it('a duration test has the verdicts of the converter, with one lamp that gives out', async () => {
  circuit = new BusCircuit(TestKind.Full);
  await circuit.setUp();
  const result = await circuit.test();
  expect(result.end).toBe(Reason.Complete);
  expect(verdictsOf(result)).toEqual(verdictsOf(circuit.expected));
  expect(verdictsOf(result)).toContainEqual([Verdict.Fail, Reason.EndedEarly]);
  expect(circuit.rig.board.complaints).toEqual([]);
});
