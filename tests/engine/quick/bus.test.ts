// A function test of 16 luminaires on the real interpreter, their lamps read through modules on a bus: the same
// verdicts as with a converter.
import { afterEach, describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { BusCircuit, verdictsOf } from '../busCircuit';
import { hasInterpreter } from '../present';

describe.skipIf(!hasInterpreter)('lamps on a bus, on the real interpreter', () => {
  let circuit: BusCircuit;
  afterEach(() => circuit?.close());

  it('have the verdicts of the converter in a function test', async () => {
    circuit = new BusCircuit(TestKind.Brief);
    await circuit.setUp();
    const result = await circuit.test();
    expect(result.end).toBe(Reason.Complete);
    expect(verdictsOf(result)).toEqual(verdictsOf(circuit.expected));
    expect(verdictsOf(result)[0]).toEqual([Verdict.Fail, Reason.NotLitAtFiveSeconds]);
    expect(circuit.rig.board.complaints).toEqual([]);
  });
});
