import { describe, expect, it } from 'vitest';
import {
  circuitChangeAt,
  hasMains,
  isOccupied,
  litCount,
  newCircuitPlant,
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

  it('tells the next instant at which anything changes by itself', () => {
    const c = newCircuitPlant('c1', LAMPS, 1);
    c.outages = [{ from: 20_000, to: 30_000 }];
    c.visits = [{ from: 25_000, to: 26_000 }];
    const seen: number[] = [];
    for (let now = 0; now < 40_000; now = circuitChangeAt(c, now)) seen.push(now);
    expect(seen).toEqual([0, 20_000, 25_000, 26_000, 30_000]);
    driveRelay(c.relay, true, 50_000, 40_000);
    expect(circuitChangeAt(c, 40_000)).toBeLessThan(40_200);
  });

  it('gives each luminaire noise of its own, the same for the same seed', () => {
    const states = (seed: number) => newCircuitPlant('c', LAMPS, seed).luminaires.map((l) => l.random.state);
    expect(states(1)).toEqual(states(1));
    expect(states(1)).not.toEqual(states(2));
    expect(new Set(states(1)).size).toBe(2);
  });
});
