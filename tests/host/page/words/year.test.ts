import { describe, expect, it } from 'vitest';
import type { PlanNight } from '../../../../host/api/views';
import { DEMO_SITE } from '../../../../host/cli/arguments';
import { readSite } from '../../../../host/cli/siteFile';
import {
  areasOf,
  exposureStep,
  exposureWord,
  knownAs,
  nightWords,
  rowWords,
  yearMonths,
} from '../../../../host/page/words/year';

const at = (text: string): number => Date.parse(text) / 1000;

function night(date: string, mark: PlanNight['mark'], more: Partial<PlanNight> = {}): PlanNight {
  return {
    ...{ circuit: 'a', date, mark, kind: mark === 'recharge' ? 'full' : mark, dark: true, exposureHours: 0 },
    ...{ start: at('2026-01-15T23:30Z'), end: at('2026-01-16T02:30Z'), recharged: at('2026-01-17T02:30Z') },
    ...more,
  };
}

describe('the months', () => {
  const nights = [night('2026-01-31', 'brief'), night('2026-02-01', 'full'), night('2027-01-01', 'brief')];
  const months = yearMonths({ from: 0, until: 0, nights, exposureHours: 0 }, '2026-01-16');

  it('are twelve from the present one, each with its days and nights', () => {
    expect(months.map(({ key }) => key)).toEqual(
      Array.from({ length: 12 }, (_, i) => `2026-${String(i + 1).padStart(2, '0')}`),
    );
    expect(months.map(({ days }) => days)).toEqual([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]);
    expect(months.map((month) => month.nights.length)).toEqual([1, 1, ...Array(10).fill(0)]);
    expect(months[1].title).toBe('February 2026');
  });

  it('know their weekends', () => {
    expect(months[0].weekend).toEqual([3, 4, 10, 11, 17, 18, 24, 25, 31]);
    expect(months[1].weekend).toEqual([1, 7, 8, 14, 15, 21, 22, 28]);
  });

  it('cross the end of the year, and include the leap day', () => {
    const later = yearMonths({ from: 0, until: 0, nights, exposureHours: 0 }, '2027-11-30');
    expect(later.map(({ key }) => key).slice(0, 4)).toEqual(['2027-11', '2027-12', '2028-01', '2028-02']);
    expect(later[3].days).toBe(29);
  });
});

describe('the words', () => {
  it('describe a row for screen readers', () => {
    const nights = [
      night('2026-01-03', 'brief'),
      night('2026-01-15', 'full'),
      night('2026-01-16', 'recharge'),
    ];
    expect(rowWords('a', nights)).toBe('a: function test on 3, duration test on 15, recharging on 16.');
    expect(rowWords('a', [])).toBe('a: nothing planned.');
  });

  it('name a circuit as people know it, by its areas', () => {
    const { circuits, areas } = readSite(DEMO_SITE);
    const named = { circuits, areas };
    expect(areasOf(named, 'ground-a')).toBe('Entrance hall, Tide tank gallery, Shop and cafe');
    expect(knownAs(named, 'ground-a')).toBe(
      'Ground floor A: Entrance hall, Tide tank gallery, Shop and cafe',
    );
    const one = { ...circuits[0], id: 'x', name: 'Entrance hall', areas: ['entrance'] };
    expect(knownAs({ circuits: [one], areas }, 'x')).toBe('Entrance hall');
    expect(knownAs(named, 'gone')).toBe('');
  });

  it('describe a night with its light and exposure, in local time', () => {
    expect(nightWords(night('2026-01-15', 'full', { exposureHours: 4.25 }), 'Europe/Berlin')).toBe(
      'duration test Fri 16 Jan 2026, 00:30 – 03:30, in the dark, batteries full again Sat 17 Jan 2026, 03:30. Exposure 4.3 h.',
    );
    expect(nightWords(night('2026-01-15', 'limited', { dark: null }), 'Europe/London')).toBe(
      'limited duration test (2/3, not the full duration) Thu 15 Jan 2026, 23:30 – Fri 16 Jan 2026, 02:30, batteries full again Sat 17 Jan 2026, 02:30.',
    );
    expect(nightWords(night('2026-01-16', 'recharge', { dark: false, exposureHours: 0.05 }), 'UTC')).toBe(
      'recharging after its duration test, batteries full again Sat 17 Jan 2026, 02:30. Exposure under 0.1 h.',
    );
  });

  it('shade exposure in three steps, with none for zero', () => {
    expect([0, 0.004, 0.005, 0.99, 1, 3.9, 4, 80].map(exposureStep)).toEqual([0, 0, 1, 1, 2, 2, 3, 3]);
    expect(exposureWord(13.46)).toBe('13.5 h');
  });
});
