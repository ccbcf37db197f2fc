import { describe, expect, it } from 'vitest';
import {
  isLitOnBattery,
  type LampMode,
  type Luminaire,
  lampMilliamps,
  newLuminaire,
  plantLuminaireFault,
  sensorMilliamps,
  setSupplied,
} from '../../../simulator/plant/luminaire';
import { newRandom } from '../../../simulator/random';

const HOUR_MS = 3_600_000;
const FOR_GOOD = { from: 0, to: Number.POSITIVE_INFINITY };

function lamp(mode: LampMode = 0): Luminaire {
  const currents = { batteryMilliamps: 200, mainsMilliamps: 300, ratedSec: 3600 };
  return newLuminaire({ id: 'l', mode, ...currents, chemistry: 'NiCd', margin: 1.5 }, newRandom(1));
}

describe('a luminaire', () => {
  it('burns on mains only in the maintained modes', () => {
    expect(([0, 1, 2, 3] as LampMode[]).map((mode) => lampMilliamps(lamp(mode), 1000))).toEqual([
      0, 300, 300, 0,
    ]);
  });

  it('strikes on battery well within 5 s, sags, and goes out when its battery is empty', () => {
    const l = lamp();
    setSupplied(l, false, 0);
    expect(lampMilliamps(l, 100)).toBe(0);
    expect(lampMilliamps(l, 1000)).toBeCloseTo(206, 0);
    expect(lampMilliamps(l, 1.49 * HOUR_MS)).toBeGreaterThan(0.9 * 200);
    expect(isLitOnBattery(l, 1.49 * HOUR_MS)).toBe(true);
    expect(lampMilliamps(l, 1.51 * HOUR_MS)).toBe(0);
    expect(isLitOnBattery(l, 1.51 * HOUR_MS)).toBe(false);
  });

  it('is charged on mains and not when its charger is dead', () => {
    const good = lamp();
    const dead = lamp();
    plantLuminaireFault(dead, { ...FOR_GOOD, kind: 'charger dead' });
    for (const l of [good, dead]) {
      setSupplied(l, false, 0);
      setSupplied(l, true, HOUR_MS);
      setSupplied(l, false, 49 * HOUR_MS);
    }
    expect(isLitOnBattery(good, 50 * HOUR_MS)).toBe(true);
    expect(isLitOnBattery(dead, 50 * HOUR_MS)).toBe(false);
  });

  it('with a dead lamp is dark while its battery keeps', () => {
    const l = lamp(1);
    plantLuminaireFault(l, { ...FOR_GOOD, from: HOUR_MS, kind: 'dead lamp' });
    expect(lampMilliamps(l, HOUR_MS - 1)).toBe(300);
    expect(lampMilliamps(l, HOUR_MS)).toBe(0);
    setSupplied(l, false, 2 * HOUR_MS);
    expect([lampMilliamps(l, 2.1 * HOUR_MS), isLitOnBattery(l, 2.1 * HOUR_MS)]).toEqual([0, false]);
    expect(l.battery.mode).toBe('resting');
  });

  it('with an aged battery lasts only as long as that', () => {
    const l = lamp();
    plantLuminaireFault(l, { ...FOR_GOOD, kind: 'aged battery', lastsMs: HOUR_MS / 2 });
    setSupplied(l, false, 1000);
    expect(isLitOnBattery(l, 1000 + 0.49 * HOUR_MS)).toBe(true);
    expect(isLitOnBattery(l, 1000 + 0.51 * HOUR_MS)).toBe(false);
  });

  it('with a drifting sensor reads too much, a little more each day', () => {
    const l = lamp();
    plantLuminaireFault(l, { ...FOR_GOOD, kind: 'sensor drift', milliampsPerDay: 2 });
    expect(sensorMilliamps(l, 10 * 24 * HOUR_MS, false)).toBe(20);
  });

  it('reads with a noise of some milliamperes around the truth', () => {
    const l = lamp(1);
    const reads = Array.from({ length: 4000 }, () => sensorMilliamps(l, 1000, true));
    const mean = reads.reduce((sum, x) => sum + x, 0) / reads.length;
    const spread = Math.sqrt(reads.reduce((sum, x) => sum + (x - mean) ** 2, 0) / reads.length);
    expect(Math.abs(mean - 300)).toBeLessThan(0.3);
    expect(spread).toBeGreaterThan(1.8);
    expect(spread).toBeLessThan(2.3);
  });
});
