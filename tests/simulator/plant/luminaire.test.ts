import { describe, expect, it } from 'vitest';
import { Mode } from '../../../firmware/contract/lamps';
import {
  chargingMilliamps,
  isLitOnBattery,
  type Luminaire,
  lampMilliamps,
  newLuminaire,
  plantLuminaireFault,
  sensorMilliamps,
  setSupplied,
} from '../../../simulator/plant/luminaire';
import type { LuminaireFault } from '../../../simulator/plant/luminaireFaults';

const HOUR_MS = 3_600_000;
type Kind = LuminaireFault extends infer F
  ? F extends LuminaireFault
    ? Omit<F, 'from' | 'to'>
    : never
  : never;
const FOR_GOOD = { from: 0, to: Number.POSITIVE_INFINITY };

function lamp(mode: Mode = Mode.NonMaintained): Luminaire {
  const currents = { batteryMilliamps: 200, mainsMilliamps: 300, ratedSec: 3600 };
  return newLuminaire({ id: 'l', mode, ...currents, chemistry: 'NiCd', margin: 1.5 });
}

describe('a luminaire', () => {
  it('is lit on mains only in the maintained modes', () => {
    expect([0, 1, 2, 3].map((mode) => lampMilliamps(lamp(mode), 1000))).toEqual([0, 300, 300, 0]);
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
    expect(sensorMilliamps(l, 10 * 24 * HOUR_MS, 0)).toBe(20);
  });

  it('that was cut off stays dark through repairs until it has had mains', () => {
    const l = lamp();
    plantLuminaireFault(l, { from: 1.6 * HOUR_MS, to: 1.7 * HOUR_MS, kind: 'dead lamp' });
    plantLuminaireFault(l, { from: 0, to: 2 * HOUR_MS, kind: 'aged battery', lastsMs: HOUR_MS });
    setSupplied(l, false, 0);
    expect([0.9, 1.1, 1.8, 2.5].map((h) => isLitOnBattery(l, h * HOUR_MS))).toEqual([
      true,
      false,
      false,
      false,
    ]);
    setSupplied(l, true, 3 * HOUR_MS);
    setSupplied(l, false, 9 * HOUR_MS);
    expect(isLitOnBattery(l, 9.1 * HOUR_MS)).toBe(true);
  });

  it('whose battery is open is dark on battery, lit on mains, and charged again once repaired', () => {
    const l = lamp(1);
    plantLuminaireFault(l, { from: 0, to: HOUR_MS, kind: 'battery open' });
    expect(lampMilliamps(l, 1000)).toBe(300);
    setSupplied(l, false, 2000);
    expect([lampMilliamps(l, 10_000), isLitOnBattery(l, 10_000)]).toEqual([0, false]);
    setSupplied(l, true, 20_000);
    expect(chargingMilliamps(l, HOUR_MS - 1)).toBe(0);
    expect(chargingMilliamps(l, HOUR_MS)).toBeGreaterThan(0);
  });

  it('with a driver slow to start, or a dim one, shows it in its current until it is repaired', () => {
    const l = lamp();
    plantLuminaireFault(l, { from: 0, to: HOUR_MS, kind: 'slow start', slowMs: 8000 });
    plantLuminaireFault(l, { from: 0, to: HOUR_MS, kind: 'dim lamp', output: 0.5 });
    setSupplied(l, false, 0);
    expect(lampMilliamps(l, 8000)).toBe(0);
    expect(lampMilliamps(l, 9000)).toBeCloseTo(103, 0);
    expect(lampMilliamps(l, HOUR_MS)).toBeGreaterThan(190);
  });

  it('fed from elsewhere stays on mains without its supply, and goes over to its battery when that ends', () => {
    const [lit, dark] = [lamp(1), lamp(0)];
    for (const l of [lit, dark]) {
      plantLuminaireFault(l, { from: 0, to: HOUR_MS, kind: 'fed from elsewhere' });
      setSupplied(l, false, 1000);
    }
    expect([lit, dark].map((l) => [lampMilliamps(l, 60_000), isLitOnBattery(l, 60_000)])).toEqual([
      [300, false],
      [0, false],
    ]);
    expect(lampMilliamps(lit, HOUR_MS + 1000)).toBeCloseTo(203, 0);
    // Its battery was full until then.
    expect(isLitOnBattery(lit, 2.4 * HOUR_MS)).toBe(true);
    expect(isLitOnBattery(lit, 2.6 * HOUR_MS)).toBe(false);
  });

  it('that glows on mains has its own current on battery, and none if it is dead', () => {
    const [well, dead] = [lamp(), lamp()];
    for (const l of [well, dead])
      plantLuminaireFault(l, { ...FOR_GOOD, kind: 'glows on mains', milliamps: 80 });
    plantLuminaireFault(dead, { ...FOR_GOOD, kind: 'battery open' });
    expect([well, dead].map((l) => lampMilliamps(l, 1000))).toEqual([80, 80]);
    for (const l of [well, dead]) setSupplied(l, false, 2000);
    expect([well, dead].map((l) => Math.round(lampMilliamps(l, 9000)))).toEqual([206, 0]);
  });

  it('takes effect at the instant of the fault, not when someone looks', () => {
    const looked = lamp();
    const left = lamp();
    for (const l of [looked, left]) {
      plantLuminaireFault(l, { ...FOR_GOOD, from: 100 * HOUR_MS, kind: 'charger dead' });
      setSupplied(l, false, 0);
      setSupplied(l, true, HOUR_MS);
    }
    chargingMilliamps(looked, 100 * HOUR_MS);
    for (const l of [looked, left]) setSupplied(l, false, 2000 * HOUR_MS);
    expect(looked.battery.charge).toBe(left.battery.charge);
    expect(left.battery.charge).toBeLessThan(0.8);
  });

  it('with a faulty sensor reads its rail, nothing, the last value, too much or too wild, and well once repaired', () => {
    const reads = (fault: Kind, mode: Mode = Mode.Maintained) => {
      const l = lamp(mode);
      sensorMilliamps(l, 500, 0);
      plantLuminaireFault(l, { from: 1000, to: 5000, ...fault } as LuminaireFault);
      const faulty = sensorMilliamps(l, 2000, 0);
      return [faulty, sensorMilliamps(l, 5000, 0)];
    };
    expect(reads({ kind: 'sensor open' })).toEqual([-32_768, 300]);
    expect(reads({ kind: 'sensor saturated' })).toEqual([32_767, 300]);
    expect(reads({ kind: 'sensor short' })).toEqual([0, 300]);
    expect(reads({ kind: 'sensor offset', milliamps: 40 })).toEqual([340, 300]);
    expect(reads({ kind: 'sensor cross-talk', with: lamp(0), share: 0.5 })).toEqual([150, 300]);
    expect(reads({ kind: 'sensor shared', with: lamp(1) })).toEqual([600, 300]);
    const l = lamp(0);
    sensorMilliamps(l, 500, 0);
    plantLuminaireFault(l, { from: 1000, to: 9000, kind: 'sensor stuck' });
    setSupplied(l, false, 2000);
    expect([sensorMilliamps(l, 5000, 3), sensorMilliamps(l, 9000, 0)]).toEqual([0, 206]);
    const wild = lamp(1);
    plantLuminaireFault(wild, { ...FOR_GOOD, kind: 'sensor noise', milliamps: 40 });
    expect(sensorMilliamps(wild, 1000, 3)).toBe(363);
  });

  it('with a drifting sensor and an offset has both', () => {
    const l = lamp(1);
    plantLuminaireFault(l, { from: 24 * HOUR_MS, to: 1e12, kind: 'sensor drift', milliampsPerDay: 2 });
    plantLuminaireFault(l, { from: 0, to: 1e12, kind: 'sensor offset', milliamps: -5 });
    expect(sensorMilliamps(l, 12 * HOUR_MS, 0)).toBe(295);
    expect(sensorMilliamps(l, 11 * 24 * HOUR_MS, 0)).toBe(315);
  });
});
