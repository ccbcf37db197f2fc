import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type Battery,
  chargeAt,
  emptyAt,
  fitBattery,
  newBattery,
  setBatteryMode,
} from '../../../simulator/plant/battery';
import { CHEMISTRY, type Chemistry, capacityFor, runtimeHours } from '../../../simulator/plant/chemistry';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const CHEMISTRIES: Chemistry[] = ['NiCd', 'NiMH', 'LiFePO4', 'lead-acid'];
const chemistry = fc.constantFrom(...CHEMISTRIES);
const hours = fc.double({ min: 0.5, max: 6, noNaN: true });
const amperes = fc.double({ min: 0.1, max: 2, noNaN: true });
const mode = fc.constantFrom<Battery['mode']>('charging', 'resting', 'loaded');

describe('a battery', () => {
  it('made to last a number of hours lasts that long, by the law it is made with', () => {
    fc.assert(
      fc.property(chemistry, hours, amperes, (kind, h, load) => {
        const c = capacityFor(kind, h, load);
        const { ratedHours, peukertExponent } = CHEMISTRY[kind];
        expect(runtimeHours(c, ratedHours, load, peukertExponent) / h).toBeCloseTo(1, 9);
        const b = newBattery(kind, h, load);
        setBatteryMode(b, 'loaded', 0);
        expect(emptyAt(b) / (h * HOUR_MS)).toBeCloseTo(1, 9);
      }),
    );
  });

  it('checked in between is no different from one left alone', () => {
    const step = fc.record({
      mode,
      ms: fc.integer({ min: 0, max: 50 * HOUR_MS }),
      cut: fc.double({ min: 0, max: 1, noNaN: true }),
    });
    fc.assert(
      fc.property(chemistry, hours, amperes, fc.array(step, { maxLength: 12 }), (kind, h, load, steps) => {
        const alone = newBattery(kind, h, load);
        const watched = newBattery(kind, h, load);
        let now = 0;
        for (const s of steps) {
          setBatteryMode(alone, s.mode, now);
          setBatteryMode(watched, s.mode, now);
          const between = now + Math.floor(s.ms * s.cut);
          setBatteryMode(watched, s.mode, between);
          now += s.ms;
          expect(chargeAt(watched, now)).toBeCloseTo(chargeAt(alone, now), 9);
        }
      }),
    );
  });

  it('never holds less than zero or more than its capacity, and only charging fills it', () => {
    fc.assert(
      fc.property(
        chemistry,
        hours,
        fc.array(fc.tuple(mode, fc.integer({ min: 1, max: 90 * HOUR_MS }))),
        (kind, h, steps) => {
          const b = newBattery(kind, h, 0.5);
          let now = 0;
          for (const [m, ms] of steps) {
            setBatteryMode(b, m, now);
            const before = b.charge;
            now += ms;
            const after = chargeAt(b, now);
            expect(after).toBeGreaterThanOrEqual(0);
            expect(after).toBeLessThanOrEqual(1);
            if (m === 'charging') expect(after).toBeGreaterThanOrEqual(before);
            else expect(after).toBeLessThanOrEqual(before);
          }
        },
      ),
    );
  });

  it('is empty exactly when its charge reaches zero', () => {
    const b = newBattery('NiCd', 3, 0.8);
    setBatteryMode(b, 'loaded', 0);
    expect(chargeAt(b, emptyAt(b) - 60_000)).toBeGreaterThan(0);
    expect(chargeAt(b, emptyAt(b))).toBeCloseTo(0, 12);
    expect(chargeAt(b, emptyAt(b) / 2)).toBeCloseTo(0.5, 12);
  });

  it('lasts its rated duration again after a day of charging, with the smallest margin there is', () => {
    // 24 h of recharge restore rated duration (IEC 60598-2-22 clause 22.19, from memory).
    for (const kind of CHEMISTRIES) {
      const b = newBattery(kind, 3 * 1.25, 0.8);
      setBatteryMode(b, 'loaded', 0);
      setBatteryMode(b, 'charging', emptyAt(b));
      const charged = b.at + 24 * HOUR_MS;
      setBatteryMode(b, 'loaded', charged);
      expect((emptyAt(b) - charged) / HOUR_MS, kind).toBeGreaterThan(3);
    }
  });

  it('lasts less with age, in the cold and after many discharges, and a new one lasts in full again', () => {
    const hoursAt = (b: Battery, now: number) => {
      const copy = { ...b };
      setBatteryMode(copy, 'loaded', now);
      return (emptyAt(copy) - now) / HOUR_MS;
    };
    for (const kind of CHEMISTRIES) {
      const b = newBattery(kind, 3, 0.8);
      expect(hoursAt(b, 0)).toBeCloseTo(3, 9);
      expect(hoursAt(newBattery(kind, 3, 0.8, 0), 0)).toBeLessThan(2.8);
      const later = 5 * 365 * DAY_MS;
      const aged = hoursAt(b, later);
      expect(aged).toBeLessThan(2.7);
      expect(hoursAt({ ...b, cycles: 100 }, later)).toBeLessThan(aged);
      fitBattery(b, 0, later);
      expect(hoursAt(b, later)).toBeCloseTo(3, 9);
    }
  });

  it('counts its discharges by what was taken out', () => {
    const b = newBattery('NiCd', 3, 0.8);
    let now = 0;
    for (let i = 0; i < 4; i++) {
      setBatteryMode(b, 'loaded', now);
      setBatteryMode(b, 'charging', now + b.fullMs / 2);
      now += 30 * DAY_MS;
    }
    expect(b.cycles).toBeCloseTo(2, 9);
  });

  it('fitted in the middle of a discharge continues from the charge it had, and lasts as long as it is set to', () => {
    const b = newBattery('NiMH', 3, 0.8);
    setBatteryMode(b, 'loaded', 0);
    fitBattery(b, HOUR_MS, 1.5 * HOUR_MS);
    expect(emptyAt(b)).toBeCloseTo(2 * HOUR_MS, 3);
    setBatteryMode(b, 'charging', 2 * HOUR_MS);
    const years = 8 * 365 * DAY_MS;
    setBatteryMode(b, 'loaded', years);
    expect(emptyAt(b) - years).toBe(HOUR_MS);
  });

  it('loses capacity for good when left flat for months, except NiCd', () => {
    const left = (kind: Chemistry, flatDays: number) => {
      const b = newBattery(kind, 3, 0.8);
      setBatteryMode(b, 'loaded', 0);
      setBatteryMode(b, 'charging', emptyAt(b) + flatDays * DAY_MS);
      return b.unhurt;
    };
    expect(CHEMISTRIES.map((kind) => left(kind, 10))).toEqual([1, 1, 1, 1]);
    const lefts = CHEMISTRIES.map((kind) => left(kind, 100));
    expect(lefts[0]).toBe(1);
    for (const share of lefts.slice(1)) expect(share).toBeLessThan(0.96);
  });

  it('off its charger loses the same charge however often it is checked, and regains it', () => {
    const b = newBattery('NiCd', 3, 0.8);
    setBatteryMode(b, 'resting', 0);
    const [day, month] = [chargeAt(b, DAY_MS), chargeAt(b, 31 * DAY_MS)];
    expect(day).toBeLessThan(0.95);
    expect(month).toBeLessThan(day * 0.9);
    setBatteryMode(b, 'loaded', DAY_MS);
    setBatteryMode(b, 'resting', DAY_MS);
    expect(chargeAt(b, 31 * DAY_MS)).toBeCloseTo(month, 9);
    setBatteryMode(b, 'charging', 31 * DAY_MS);
    expect(chargeAt(b, 32 * DAY_MS)).toBe(1);
  });
});
