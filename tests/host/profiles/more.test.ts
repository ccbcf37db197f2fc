import { describe, expect, it } from 'vitest';
import {
  bearableDays,
  durationDays,
  LEAST_DAYS,
  moreBounds,
  urgencyOf,
  WEAR_MOST,
  wearOf,
} from '../../../host/profiles/more';
import { profileOf, profiles } from '../../../host/profiles/profile';
import { CHEMISTRY, calendarShare, cycleShare } from '../../../simulator/plant/chemistry';

const CHEMISTRIES = ['NiCd', 'NiMH', 'LiFePO4', 'lead-acid'] as const;
const YEAR_MS = 365.25 * 86_400_000;

/** Years until four fifths of the capacity are left in the simulator's battery, with a full discharge so often. */
function lifeYears(chemistry: (typeof CHEMISTRIES)[number], everyDays: number): number {
  let years = 0;
  const left = (at: number) =>
    calendarShare(chemistry, at * YEAR_MS, 25) * cycleShare(chemistry, (at * 365.25) / everyDays, 25);
  while (left(years) > 0.8) years += 0.001;
  return years;
}

describe('the intervals between tests on top of the rule', () => {
  it.each(profiles.filter(({ bySchedule }) => !bySchedule))('lie within what $name permits', (profile) => {
    const { function: brief, duration } = moreBounds(profile);
    expect(brief.most).toBe(profile.brief.latestDays.value);
    expect(duration.most).toBe(profile.full.latestDays.value);
    expect(brief.least).toBeLessThanOrEqual(brief.most);
    expect(duration.least).toBeLessThanOrEqual(duration.most);
    expect(brief.least).toBeGreaterThanOrEqual(
      Math.min(brief.most, Math.max(LEAST_DAYS.function, profile.brief.leastGapDays?.value ?? 0)),
    );
  });

  it('are no shorter than the gap a rule asks for', () => {
    // NFPA 101 (2018), 7.9.3.1.1 (1): not less than 3 weeks between function tests.
    expect(moreBounds(profileOf('nfpa101-manual')).function.least).toBe(21);
  });
});

describe('the life of a battery that duration tests use up', () => {
  it.each(CHEMISTRIES)('is that of the simulated battery for %s', (chemistry) => {
    for (const everyDays of [28, 35, 91, 365]) {
      const lost = 1 - lifeYears(chemistry, everyDays) / lifeYears(chemistry, Number.POSITIVE_INFINITY);
      expect(wearOf(chemistry, everyDays)).toBeCloseTo(lost, 2);
    }
  });

  it.each(CHEMISTRIES)('stays within a twentieth for %s, and a day less would exceed it', (chemistry) => {
    const days = bearableDays(chemistry);
    expect(wearOf(chemistry, days)).toBeLessThanOrEqual(WEAR_MOST);
    expect(wearOf(chemistry, days - 1)).toBeGreaterThan(WEAR_MOST);
  });

  it('is kept to by the weakest battery of a circuit', () => {
    const more = { functionTestDays: 7, durationTestDays: 28 };
    expect(durationDays(more, ['LiFePO4'])).toBe(28);
    expect(durationDays(more, ['LiFePO4', 'lead-acid'])).toBe(bearableDays('lead-acid'));
    expect(durationDays({ ...more, durationTestDays: 200 }, ['lead-acid'])).toBe(200);
  });

  it('leaves fewer days the more urgent failures are, never fewer than four weeks or than batteries bear', () => {
    const more = { functionTestDays: 7, durationTestDays: 90 };
    expect([1, 2, 4].map((urgency) => durationDays(more, ['LiFePO4'], urgency))).toEqual([90, 64, 45]);
    expect(durationDays({ ...more, durationTestDays: 40 }, ['LiFePO4'], 4)).toBe(LEAST_DAYS.duration);
    expect(durationDays(more, ['lead-acid'], 4)).toBe(bearableDays('lead-acid'));
  });

  it('knows every chemistry of the simulated batteries', () => {
    expect(Object.keys(CHEMISTRY).sort()).toEqual([...CHEMISTRIES].sort());
  });
});

describe('how urgent failures are', () => {
  it.each(CHEMISTRIES)('is as usual with new %s batteries and grows with their years', (chemistry) => {
    const at = (years: number, celsius?: number) =>
      urgencyOf([{ chemistry, years, ...(celsius !== undefined && { celsius }) }]);
    expect([at(-1), at(0), at(1)]).toEqual([1, 1, 1]);
    for (let years = 2; years < 12; years++) expect(at(years + 1)).toBeGreaterThanOrEqual(at(years));
    expect(at(5)).toBeGreaterThan(1);
    expect(at(30)).toBe(4);
    expect(at(3, 40)).toBeGreaterThan(at(3));
    expect(at(3, 25)).toBe(at(3));
  });

  it.each([15, 35, 45])('takes the heat of %i degrees C as the simulated battery does', (celsius) => {
    for (const chemistry of CHEMISTRIES) {
      // As old as at 25 degrees when as much of its capacity is left.
      const years = 3;
      const left = calendarShare(chemistry, years * YEAR_MS, 25);
      let same = 0;
      while (calendarShare(chemistry, same * YEAR_MS, celsius) > left) same += 0.001;
      const there = urgencyOf([{ chemistry, years: same, celsius }]);
      const usual = urgencyOf([{ chemistry, years }]);
      // In the warmth as many wear out in so many years fewer, in the cold in more.
      const [less, more] = [usual, usual * (years / same)].sort((a, b) => a - b);
      expect(there).toBeGreaterThanOrEqual(less - 0.01);
      expect(there).toBeLessThanOrEqual(more + 0.01);
      if (chemistry !== 'LiFePO4' && celsius > 25) expect(there).toBeGreaterThan(1.2 * usual);
    }
  });

  it('is the mean of all batteries of a circuit', () => {
    const fresh = { chemistry: 'NiCd', years: 0 } as const;
    const old = { chemistry: 'NiCd', years: 4.5 } as const;
    expect(urgencyOf([fresh, fresh, fresh, old])).toBeLessThan(urgencyOf([old]));
    expect(urgencyOf([fresh, old])).toBeGreaterThan(urgencyOf([fresh, fresh, fresh, old]));
    expect(urgencyOf([])).toBe(1);
  });
});
