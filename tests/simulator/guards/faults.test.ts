// Every single fault of the guard board: the kept table of all of them, runs of ngspice that confirm a sample of it, and
// what the table promises. `npm run guards -- faults` makes the table.
import { describe, expect, it } from 'vitest';
import { guardBoard } from '../../../simulator/guards/board';
import { singleFaults } from '../../../simulator/guards/faultList';
import { lateEndings, lostGuards, verdictOf } from '../../../simulator/guards/faults';
import type { FaultRow } from '../../../simulator/guards/pfd';
import { depth } from '../../support/depth';
import { observe } from './observe';
import { differences, fingerprint, readFaults } from './results';

const { rows: faults, fingerprint: kept } = readFaults();
const rowOf = (part: string, mode: string) => faults.find((row) => row.part === part && row.mode === mode)!;
const named = ({ part, mode }: { part: string; mode: string }) => `${part} ${mode}`;

/** Those that would go unnoticed in normal use, and one of every other kind; the deep run has more of them. */
const USUAL = [
  ...['Q1 short', 'Q1 gate-drain short', 'Q2 short', 'Q2 gate open', 'U1 acts on the level', 'C1 short'],
  ...['Q3 short', 'R8 open', 'R12 open', 'R15 short', 'enable output stuck high'],
];
const DEEP_EVERY = 8;

function sample(): FaultRow[] {
  if (depth !== 'deep') return faults.filter((row) => USUAL.includes(named(row)));
  return faults.filter((row, i) => i % DEEP_EVERY === 3 && !USUAL.includes(named(row)));
}

describe('the kept table of single faults', () => {
  it('has every part open and shorted, and is about this circuit', () => {
    expect(faults.map(named)).toEqual(singleFaults(guardBoard).map(named));
    for (const { id } of guardBoard.parts)
      for (const mode of ['open', 'short']) expect(rowOf(id, mode), `${id} ${mode}`).toBeDefined();
    expect(kept, 'run `npm run guards -- faults` again').toBe(fingerprint());
  });

  it.each(sample().map((row) => [named(row), row] as const))(
    'holds what ngspice shows of %s',
    async (_name, row) => {
      const seen = await observe(guardBoard, [row]);
      expect(differences(row.seen, seen)).toEqual([]);
      expect(verdictOf(seen)).toBe(verdictOf(row.seen));
    },
  );

  it('has no fault that is unsafe or hidden, and none that costs two guards', () => {
    const verdicts = new Set(faults.map(({ seen }) => verdictOf(seen)));
    expect(verdicts).toEqual(new Set(['no effect', 'shows itself', 'found by a test', 'found by a person']));
    expect(faults.filter(({ seen }) => lostGuards(seen).length > 1).map(named)).toEqual([]);
  });

  it('has one of the three endings late for every fault that costs the detector or `enable`', () => {
    const costly = faults.filter(({ seen }) => lostGuards(seen).some((guard) => guard !== 'timer'));
    expect(costly.length).toBeGreaterThan(10);
    for (const row of costly) expect(lateEndings(row.seen), named(row)).not.toEqual([]);
    const late = new Set(costly.map(({ seen }) => lateEndings(seen).join(', ')));
    expect(late).toEqual(new Set(['pulses stop low, pulses stop high', 'pulses stop high', 'enable falls']));
  });

  it('leaves with every fault an ending that releases the coil in time', () => {
    for (const row of faults) expect(lateEndings(row.seen).length, named(row)).toBeLessThan(3);
  });
});

it('a sound board has no late ending', async () => {
  const seen = await observe(guardBoard, []);
  expect([lateEndings(seen), verdictOf(seen)]).toEqual([[], 'no effect']);
});

it('a board without R20 is found to let `enable` hold through a reset when R8 breaks', async () => {
  const single = { ...guardBoard, parts: guardBoard.parts.filter(({ id }) => id !== 'R20') };
  const seen = await observe(single, [{ part: 'R8', mode: 'open' }]);
  expect([lostGuards(seen), verdictOf(seen)]).toEqual([['enable'], 'hidden']);
});
