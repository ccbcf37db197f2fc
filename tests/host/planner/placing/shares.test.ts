// Which nights of a cycle are a circuit's own.
import { describe, expect, it } from 'vitest';
import { colourCircuits } from '../../../../host/planner/placing/colours';
import { type SharesQuestion, shareNights } from '../../../../host/planner/placing/shares';

/** Neighbours by name. */
function nearOf(pairs: string[], ids: string): Map<string, Set<string>> {
  const others = (id: string) =>
    pairs.filter((pair) => pair.includes(id)).map((pair) => pair.replace(id, ''));
  return new Map([...ids].map((id) => [id, new Set(others(id))]));
}

/** Every circuit a neighbour of every other. */
function allNear(ids: string): Map<string, Set<string>> {
  return nearOf(
    [...ids].flatMap((a) => [...ids].filter((b) => a < b).map((b) => a + b)),
    ids,
  );
}

type Cost = (id: string, cycle: number, residue: number) => number;

/** Cycle and residue of each circuit. */
function shared(near: Map<string, Set<string>>, cost: Cost, more: Partial<SharesQuestion> = {}) {
  const question: SharesQuestion = {
    ...{ near, colours: colourCircuits(near), spacing: 2, crowd: () => 0, given: () => {} },
    estimate: (id, { cycle, residue }) => cost(id, cycle, residue),
    estimates: (id, cycle) => Float64Array.from({ length: cycle }, (_, residue) => cost(id, cycle, residue)),
    ...{ longHours: () => 0, sharedHours: () => 0, likeness: () => 0 },
    ...more,
  };
  return Object.fromEntries([...shareNights(question)].map(([id, own]) => [id, [own.cycle, own.residue]]));
}

describe('the shares of a cycle', () => {
  const pair = nearOf(['ab'], 'ab');
  const ring = nearOf(['ab', 'bc', 'cd', 'de', 'ea'], 'abcde');

  it.each([
    ['a pair', pair],
    ['a ring', ring],
    ['six that all meet', allNear('abcdef')],
  ])('keep neighbours a discharge and a recharge apart, also around the end of the cycle: %s', (_, near) => {
    const shares = shared(near, (id, _cycle, residue) => Math.sin(residue * 7 + id.charCodeAt(0)));
    for (const [id, others] of near) {
      const [cycle, residue] = shares[id];
      for (const other of others) {
        expect(shares[other][0]).toBe(cycle);
        const gap = Math.abs(shares[other][1] - residue);
        expect(Math.min(gap, cycle - gap)).toBeGreaterThanOrEqual(2);
      }
    }
  });

  it('take the shortest cycle unless there is a reason for a longer one', () => {
    expect(shared(pair, () => 1)).toEqual({ a: [4, 0], b: [4, 2] });
    expect(shared(allNear('abcdef'), () => 1).a[0]).toBe(12);
  });

  it('give each circuit the nights on which it is cheap, whatever its place in the site file', () => {
    const cost: Cost = (id, _cycle, residue) => (residue === (id === 'a' ? 3 : 1) ? 0 : 9);
    expect(shared(pair, cost)).toEqual({ a: [4, 3], b: [4, 1] });
    const turned: Cost = (id, cycle, residue) => (residue === (2 * (id.charCodeAt(0) + 3)) % cycle ? 0 : 9);
    const shares = shared(allNear('abcdef'), turned);
    for (const id of 'abcdef') expect(shares[id]).toEqual([12, (2 * (id.charCodeAt(0) + 3)) % 12]);
  });

  it('are tied to weekdays if that pays', () => {
    // Only nights of weekday 3 are cheap, as if every other day were busy and each test took a day to
    // recharge.
    const cost: Cost = (_id, cycle, residue) => (cycle % 7 === 0 && residue % 7 === 3 ? 0 : 9);
    expect(shared(nearOf([], 'a'), cost)).toEqual({ a: [7, 3] });
    // Neighbours take it in turn.
    expect(shared(pair, cost)).toEqual({ a: [14, 3], b: [14, 10] });
  });

  it('let circuits that are not neighbours have their own cycles', () => {
    const shares = shared(nearOf(['ab', 'bc', 'ca'], 'abcd'), () => 1);
    expect([shares.a[0], shares.d[0]]).toEqual([6, 1]);
  });

  it('stay as they are, and a new circuit avoids them', () => {
    const inForce = new Map([
      ['a', { cycle: 6, residue: 5 }],
      ['b', { cycle: 6, residue: 2 }],
    ]);
    const cost: Cost = (_id, _cycle, residue) => (residue === 5 ? 0 : residue === 1 ? 1 : 2);
    expect(shared(nearOf(['ab', 'bc'], 'abc'), cost, { inForce })).toEqual({
      a: [6, 5],
      b: [6, 2],
      c: [6, 5],
    });
    const tight = new Map([...inForce, ['a', { cycle: 6, residue: 0 }]]);
    expect(shared(allNear('abc'), cost, { inForce: tight }).c).toEqual([6, 4]);
  });

  it('are assigned again if the wiring no longer allows the present ones', () => {
    const inForce = new Map([
      ['a', { cycle: 4, residue: 0 }],
      ['b', { cycle: 4, residue: 1 }],
    ]);
    expect(shared(pair, () => 1, { inForce })).toEqual({ a: [4, 0], b: [4, 2] });
  });
});
