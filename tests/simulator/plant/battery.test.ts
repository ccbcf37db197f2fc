import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type Battery,
  type Chemistry,
  capacityFor,
  chargeAt,
  emptyAt,
  newBattery,
  runtimeHours,
  setBatteryMode,
} from '../../../simulator/plant/battery';

const HOUR_MS = 3_600_000;
const EXPONENT = { NiCd: 1.1, NiMH: 1.08, LiFePO4: 1.05 };
const chemistry = fc.constantFrom<Chemistry>('NiCd', 'NiMH', 'LiFePO4');
const hours = fc.double({ min: 0.5, max: 6, noNaN: true });
const amperes = fc.double({ min: 0.1, max: 2, noNaN: true });
const mode = fc.constantFrom<Battery['mode']>('charging', 'resting', 'loaded');

describe('a battery', () => {
  it('made to last so many hours lasts them, by the law it is made with', () => {
    fc.assert(
      fc.property(chemistry, hours, amperes, (kind, h, load) => {
        const c = capacityFor(kind, h, load);
        expect(runtimeHours(c, 5, load, EXPONENT[kind]) / h).toBeCloseTo(1, 9);
        const b = newBattery(kind, h, load);
        setBatteryMode(b, 'loaded', 0);
        expect(emptyAt(b) / (h * HOUR_MS)).toBeCloseTo(1, 9);
      }),
    );
  });

  it('looked at in between is no different from one left alone', () => {
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

  it('never holds less than nothing nor more than all, and only charging fills it', () => {
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

  it('is empty exactly when its charge reaches nothing', () => {
    const b = newBattery('NiCd', 3, 0.8);
    setBatteryMode(b, 'loaded', 0);
    expect(chargeAt(b, emptyAt(b) - 60_000)).toBeGreaterThan(0);
    expect(chargeAt(b, emptyAt(b))).toBeCloseTo(0, 12);
    expect(chargeAt(b, emptyAt(b) / 2)).toBeCloseTo(0.5, 12);
  });

  it('after a day of charging bears its rated duration again, if it has some margin', () => {
    // 24 h of recharge restore rated duration (IEC 60598-2-22 clause 22.19, from memory).
    for (const kind of ['NiCd', 'NiMH', 'LiFePO4'] as const) {
      const b = newBattery(kind, 3 * 1.25, 0.8);
      setBatteryMode(b, 'loaded', 0);
      setBatteryMode(b, 'charging', emptyAt(b));
      const charged = b.at + 24 * HOUR_MS;
      setBatteryMode(b, 'loaded', charged);
      expect((emptyAt(b) - charged) / HOUR_MS).toBeGreaterThan(3);
    }
  });
});
