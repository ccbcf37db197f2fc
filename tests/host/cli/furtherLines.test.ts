import { describe, expect, it } from 'vitest';
import { furtherLines } from '../../../host/cli/furtherLines';
import { makePlan } from '../../../host/planner/planner';
import { profileFor } from '../../../host/profiles/profile';
import { utcOfLocal } from '../../../host/site/civil';
import type { Site } from '../../../host/site/model';
import { ALL, siteOf } from '../planner/smallSite';

const FROM = utcOfLocal('UTC', '2026-01-05T12:00');
const MORE = { functionTestDays: 7, durationTestDays: 28 };

/** Two circuits far apart; `change` makes another site of it. */
function said(change: (site: Site) => Site): string[] {
  const circuits = [0, 1].map((area) => ({ areas: [area], ratedMinutes: 60 }));
  const drawn = { circuits, doors: [], days: ALL, from: 30, hours: 5, atOnce: 4, noTestDates: [] };
  const site = change(siteOf({ ...drawn, timeZone: 'Europe/London' }));
  return furtherLines(site, makePlan(site, profileFor(site), FROM, 200));
}

/** A site whose batteries are all of one date. */
function fitted(site: Site, batteryFitted: string): Site {
  const circuits = site.circuits.map((circuit) => ({
    ...circuit,
    luminaires: circuit.luminaires.map((lamp) => ({ ...lamp, batteryFitted })),
  }));
  return { ...site, circuits };
}

describe('what a plan says of tests on top of the rule', () => {
  it('is nothing where the site asks for none', () => {
    expect(said((site) => site)).toEqual([]);
  });

  it('is how many there are, and what they take of the batteries', () => {
    const [count, wear, ...rest] = said((site) => ({
      ...fitted(site, '2025-12-05'),
      testMore: { ...MORE, durationTestDays: 60 },
    }));
    expect(rest).toEqual([]);
    expect(count).toMatch(/^testMore: [1-9]\d* of \d+ tests are on top of those the rule asks for/);
    expect(wear).toMatch(/at most 3 % of a battery's life \(common practice, no source\)\.$/);
  });

  it('names circuits whose batteries are old or hot, for the dates of the plan', () => {
    const wished = (batteryFitted: string, celsius?: number) =>
      said((site) => {
        const [first, ...others] = fitted(site, '2025-12-05').circuits;
        const luminaires = first.luminaires.map((lamp) => ({
          ...{ ...lamp, batteryFitted },
          ...(celsius !== undefined && { celsius }),
        }));
        const circuits = [{ ...first, luminaires }, ...others];
        return { ...site, circuits, testMore: { ...MORE, durationTestDays: 60 } };
      });
    const sooner = 'Their batteries are old or hot, so duration tests are wanted sooner: circuit-0.';
    expect(wished('2019-01-05')).toContain(sooner);
    expect(wished('2023-06-05', 45)).toContain(sooner);
    expect(wished('2025-12-05')).not.toContain(sooner);
  });

  it('names circuits with people at any time, and those whose batteries bear fewer', () => {
    const lines = said((site) => ({
      ...site,
      testMore: MORE,
      areas: site.areas.map((area, i) => ({ ...area, always: i === 1 })),
    }));
    expect(lines).toContain('No such night is long enough for a further duration test of: circuit-1.');
    expect(lines).toContain(
      'Their batteries bear duration tests only more rarely than durationTestDays asks: circuit-0, circuit-1.',
    );
  });
});
