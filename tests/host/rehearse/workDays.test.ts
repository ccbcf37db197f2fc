// The working days of someone who tests by hand.
import { describe, expect, it } from 'vitest';
import { startUtcMs } from '../../../host/rehearse/estate';
import { arrivalsOf, workDaysOf } from '../../../host/rehearse/workDays';
import { utcOfLocal } from '../../../host/site/civil';
import type { ByHand } from '../../../host/site/model';
import { HOUSE } from '../house/site';

const site = {
  ...HOUSE,
  timeZone: 'Europe/London',
  closedDates: ['2026-02-02'],
  noTestDates: ['2026-02-03'],
};
const BY_HAND: ByHand = {
  ...{ every: 'month', fullMonth: 3, days: ['mon', 'tue', 'fri'], from: 540, to: 960, walkMinutes: 15 },
  ...{ skippedPercent: 0, overlookedPercent: 0, keyForgottenPercent: 0, noticedWithinDays: 5 },
};

function told(byHand: Partial<ByHand>, days: number) {
  return workDaysOf(site, { ...BY_HAND, ...byHand }, days).map((day) => ({
    ...day,
    date: new Date(startUtcMs(site) + day.from).toISOString().slice(0, 10),
  }));
}

describe('the working days', () => {
  it('are the weekdays on which the building may be tested, with their hours in local time', () => {
    // The simulation begins on Monday 5 January at 9:00, so this day counts.
    const days = told({}, 40);
    expect(days.slice(0, 4).map(({ date }) => date)).toEqual([
      '2026-01-05',
      '2026-01-06',
      '2026-01-09',
      '2026-01-12',
    ]);
    expect(days.map(({ date }) => date)).not.toContain('2026-02-02');
    expect(days.map(({ date }) => date)).not.toContain('2026-02-03');
    const summer = workDaysOf(site, BY_HAND, 200).at(-1)!;
    const startMs = startUtcMs(site);
    expect(startMs + summer.from).toBe(utcOfLocal('Europe/London', '2026-07-21T09:00') * 1000);
    expect(startMs + summer.to).toBe(utcOfLocal('Europe/London', '2026-07-21T16:00') * 1000);
  });

  it('form one round per month, and the round of the given month is for duration tests, every year', () => {
    const days = told({}, 800);
    expect(new Set(days.filter(({ isFull }) => isFull).map(({ round }) => round))).toEqual(
      new Set(['2026-03', '2027-03', '2028-03']),
    );
  });

  it.each([
    ['week' as const, ['week of 2026-03-02']],
    ['quarter' as const, ['2026 quarter 1']],
  ])('form one round per %s, with duration tests in one round a year', (every, full) => {
    const days = told({ every }, 300);
    expect([...new Set(days.filter(({ isFull }) => isFull).map(({ round }) => round))]).toEqual(full);
    expect(new Set(days.map(({ round }) => round)).size).toBe(every === 'week' ? 43 : 4);
  });
});

it('has electricians come in the mornings of their days, in local time, and not while the building is closed', () => {
  const mornings = arrivalsOf({ ...site, engineerDays: ['mon', 'thu'] }, 200);
  const dates = mornings.map((at) => new Date(startUtcMs(site) + at).toISOString());
  // The simulation begins on Monday 5 January at 9:00; Monday 2 February is a closed date.
  expect(dates.slice(0, 10).map((date) => date.slice(5, 16))).toEqual([
    ...['01-05T08:00', '01-08T08:00', '01-12T08:00', '01-15T08:00', '01-19T08:00'],
    ...['01-22T08:00', '01-26T08:00', '01-29T08:00', '02-05T08:00', '02-09T08:00'],
  ]);
  expect(dates.at(-1)).toBe('2026-07-23T07:00:00.000Z');
});
