import { describe, expect, it } from 'vitest';
import {
  circuitChangeAt,
  hasMains,
  isOccupied,
  litCount,
  newCircuitPlant,
  sensesLive,
  sensesSupply,
  settleCircuit,
} from '../../../simulator/plant/circuit';
import type { LuminaireSpec } from '../../../simulator/plant/luminaire';
import { driveRelay } from '../../../simulator/plant/relay';

const LAMPS = [0, 1].map(
  (mode): LuminaireSpec => ({
    id: `l${mode}`,
    mode: mode as 0 | 1,
    ratedSec: 3600,
    batteryMilliamps: 200,
    mainsMilliamps: 300,
    chemistry: 'NiCd',
    margin: 1.5,
  }),
);

describe('a circuit', () => {
  it('loses its supply by the relay, by an outage and by the key, and by nothing else', () => {
    const c = newCircuitPlant('c1', LAMPS, 1);
    c.outages = [{ from: 20_000, to: 30_000 }];
    c.keys = [{ from: 40_000, to: 50_000 }];
    c.visits = [{ from: 60_000, to: 70_000 }];
    const supplied = (now: number) => {
      settleCircuit(c, now);
      return c.supplied;
    };
    expect(supplied(0)).toBe(true);
    driveRelay(c.relay, true, 10_000, 1000);
    expect([supplied(2000), litCount(c, 3000)]).toEqual([false, 2]);
    driveRelay(c.relay, false, 0, 5000);
    expect([supplied(6000), litCount(c, 7000)]).toEqual([true, 0]);
    expect([supplied(20_000), hasMains(c, 20_000)]).toEqual([false, false]);
    expect([supplied(30_000), supplied(40_000), supplied(50_000)]).toEqual([true, false, true]);
    expect([supplied(60_000), isOccupied(c, 60_000), isOccupied(c, 70_000)]).toEqual([true, true, false]);
  });

  it('gives the next instant at which anything changes by itself', () => {
    const c = newCircuitPlant('c1', LAMPS, 1);
    c.outages = [{ from: 20_000, to: 30_000 }];
    c.visits = [{ from: 25_000, to: 26_000 }];
    const seen: number[] = [];
    for (let now = 0; now < 40_000; now = circuitChangeAt(c, now)) seen.push(now);
    expect(seen).toEqual([0, 20_000, 25_000, 26_000, 30_000]);
    driveRelay(c.relay, true, 50_000, 40_000);
    expect(circuitChangeAt(c, 40_000)).toBeLessThan(40_200);
  });

  it('in a brown-out flickers at both senses while the luminaires keep their supply', () => {
    const c = newCircuitPlant('c1', LAMPS, 1);
    c.brownOuts.push({ from: 10_000, to: 12_000, everyMs: 500, lowMs: 200 });
    const seen: [number, boolean, boolean][] = [];
    for (let now = 9000; now < 13_000; now = circuitChangeAt(c, now)) {
      settleCircuit(c, now);
      expect(sensesLive(c, now)).toBe(sensesSupply(c, now));
      seen.push([now, sensesSupply(c, now), c.supplied]);
    }
    expect(seen.slice(0, 4)).toEqual([
      [9000, true, true],
      [10_000, false, true],
      [10_200, true, true],
      [10_500, false, true],
    ]);
    expect(seen.at(-1)).toEqual([12_000, true, true]);
    expect(seen.every(([, , supplied]) => supplied)).toBe(true);
  });

  it('trips its breaker by the inrush of the next restore, once', () => {
    const c = newCircuitPlant('c1', LAMPS, 1);
    c.outages = [
      { from: 1000, to: 2000 },
      { from: 5000, to: 6000 },
      { from: 90_000, to: 91_000 },
    ];
    c.trips.push({ at: 3000, offMs: 60_000 });
    const edges: [number, boolean][] = [];
    for (let now = 0; now < 100_000; now = circuitChangeAt(c, now)) {
      settleCircuit(c, now);
      if (edges.at(-1)?.[1] !== c.supplied) edges.push([now, c.supplied]);
    }
    expect(edges).toEqual([
      [0, true],
      [1000, false],
      [2000, true],
      [5000, false],
      [6000, true],
      [6020, false],
      [66_020, true],
      [90_000, false],
      [91_000, true],
    ]);
  });

  it('on a central pack of lead-acid goes dark in one instant, however large its lamps are', () => {
    const shares = [40, 200, 350].map(
      (batteryMilliamps, i): LuminaireSpec => ({
        ...{ id: `p${i}`, mode: 0, ratedSec: 3600, batteryMilliamps, mainsMilliamps: 0 },
        ...{ chemistry: 'lead-acid', margin: 1.3 },
      }),
    );
    const c = newCircuitPlant('c1', shares, 1);
    c.outages = [{ from: 1000, to: 1e9 }];
    settleCircuit(c, 1000);
    const end = 1000 + 1.3 * 3_600_000;
    expect([litCount(c, end - 10), litCount(c, end + 10)]).toEqual([3, 0]);
  });
});
