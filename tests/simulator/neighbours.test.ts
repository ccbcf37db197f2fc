import { describe, expect, it } from 'vitest';
import { NeighbourCheck, type Openings } from '../../simulator/checkers/neighbours';

const CIRCUITS = [
  { circuit: 'a', neighbours: ['b'] },
  { circuit: 'b', neighbours: ['a'] },
  { circuit: 'c', neighbours: [] },
];
const NOTHING: Openings = { at: [], owed: [] };

function violations(...spans: Openings[][]): string[] {
  const check = new NeighbourCheck(CIRCUITS, 0);
  spans.forEach((done, i) => {
    check.check(done, (i + 1) * 1000);
  });
  return check.violations;
}

describe('neighbours that were simulated separately', () => {
  it('may open one after the other, and others at any time', () => {
    const a = { at: [100], owed: [{ from: 101, to: 400 }] };
    const b = { at: [400], owed: [{ from: 401, to: 700 }] };
    expect(violations([a, b, { at: [200], owed: [] }])).toEqual([]);
  });

  it('are seen to open while the other owes its recharge', () => {
    const a = { at: [100], owed: [{ from: 101, to: 400 }] };
    const b = { at: [399], owed: [] };
    expect(violations([a, b, NOTHING])).toEqual([
      'b at 1970-01-01T00:00:00.399Z: I7 opened while its neighbour a is discharged or recharging',
    ]);
  });

  it('are compared with a recharge from the previous span', () => {
    const a = { at: [900], owed: [{ from: 901, to: 1200 }] };
    expect(violations([a, NOTHING, NOTHING], [NOTHING, { at: [1100], owed: [] }, NOTHING]).length).toBe(1);
    expect(violations([a, NOTHING, NOTHING], [NOTHING, { at: [1300], owed: [] }, NOTHING])).toEqual([]);
  });
});
