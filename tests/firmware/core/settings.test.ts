import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Limit } from '../../../firmware/contract/limits';
import { newSettings, takeSettings } from '../../../firmware/core/settings';
import { SETTINGS } from './bench';

const rows = (n: number) => '0,200,0,3600;'.repeat(n);

describe('settings', () => {
  it('are taken over when every value is in bounds', () => {
    const set = newSettings();
    expect(takeSettings(set, SETTINGS)).toBe(true);
    expect([set.lampCount, set.ratedSec, set.revision]).toEqual([4, 3600, 1]);
    expect([...set.lamps.slice(4, 8)]).toEqual([1, 200, 300, 3600]);
    expect(takeSettings(newSettings(), { ...SETTINGS, lamps: rows(Limit.Luminaires) })).toBe(true);
  });

  const bad: [string, object][] = [
    ['a revision of nought', { revision: 0 }],
    ['a revision that is a fraction', { revision: 1.5 }],
    ['a brief test shorter than the 60 s point', { briefSec: 64 }],
    // CIE 193:2010: a brief test takes at most a quarter of rated duration.
    ['a brief test over a quarter of rated duration', { briefSec: 901 }],
    ['an hour of recharge at least', { rechargeSec: 3599 }],
    ['a brief recharge above the whole one', { briefRechargeSec: 86_401 }],
    ['an early point above the floor', { earlyPercent: 71 }],
    ['a floor above 100 %', { floorPercent: 101 }],
    ['an unknown input', { fitted: 32 }],
    ['a charging current out of range', { chargeMilliamps: 60_001 }],
    ['a charging current that is no number', { chargeMilliamps: '400' }],
    ['a residue outside its cycle', { cycle: 3, residue: 3 }],
    ['a cycle of nought', { cycle: 0 }],
    ['a noon past the end of the day', { noon: 86_400 }],
    ['a shared circuit that nothing proves empty', { shared: 1, fitted: 13 }],
    ['no lamp', { lamps: '' }],
    ['17 lamps', { lamps: rows(17) }],
    ['a mode that does not exist', { lamps: '4,200,0,3600;' }],
    ['a lamp without current', { lamps: '0,0,0,3600;' }],
    ['a lamp of 6 A', { lamps: '0,6000,0,3600;' }],
    ['a rated duration of 3 h and a second', { lamps: '0,200,0,10801;' }],
    ['a rated duration too short to test', { lamps: '0,200,0,899;' }],
    ['a current that would wrap round in 16 bits', { lamps: '0,65736,0,3600;' }],
    ['a duration that would wrap round in 16 bits', { lamps: '0,200,0,69136;' }],
    ['a mode that would wrap round in 16 bits', { lamps: '65536,200,0,3600;' }],
    ['a mains current that would wrap round in 16 bits', { lamps: '1,200,65836,3600;' }],
    ['lamps that are a number', { lamps: 5 }],
    ['a text for a number', { briefSec: '120' }],
    ['nothing for a number', { rechargeSec: undefined }],
  ];
  it.each(bad)('with %s are refused and change nothing', (_name, change) => {
    const set = newSettings();
    takeSettings(set, SETTINGS);
    const before = JSON.stringify(set);
    expect(takeSettings(set, { ...SETTINGS, revision: 2, ...change })).toBe(false);
    expect(JSON.stringify(set)).toBe(before);
  });

  it('never let a limit through, whatever they hold', () => {
    const number = fc.oneof(fc.integer({ min: -5, max: 200_000 }), fc.double(), fc.constant(Number.NaN));
    const lamps = fc.array(fc.array(fc.integer({ min: 0, max: 140_000 }), { minLength: 3, maxLength: 5 }));
    const message = fc.record({
      briefSec: number,
      rechargeSec: number,
      briefRechargeSec: number,
      fitted: number,
      cycle: number,
      residue: number,
      lamps: lamps.map((all) => all.map((row) => `${row.join(',')};`).join('')),
    });
    fc.assert(
      fc.property(message, (m) => {
        const set = newSettings();
        if (!takeSettings(set, { ...SETTINGS, ...m })) return;
        expect(set.ratedSec).toBeLessThanOrEqual(Limit.RatedSecMax);
        expect(set.briefSec).toBeGreaterThanOrEqual(Limit.BriefSecMin);
        expect(set.briefSec * Limit.BriefShareOfRated).toBeLessThanOrEqual(set.ratedSec);
        expect(set.rechargeSec).toBeGreaterThanOrEqual(3600);
      }),
      { numRuns: 300 },
    );
  });
});
