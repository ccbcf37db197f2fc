// Which duties each rule profile has, against the published sources as they were read.
import { describe, expect, it } from 'vitest';
import { dutiesOf, dutiesUnder, intervalWords } from '../../../host/duties/duties';
import { FORMS } from '../../../host/duties/forms';
import { profileOf, profiles } from '../../../host/profiles/profile';
import { HOUSE } from '../house/site';

const under = (name: string) => dutiesUnder(profiles.find((profile) => profile.name === name)!);
const every = (name: string) =>
  Object.fromEntries(under(name).map(({ id, interval }) => [id, intervalWords(interval)]));

describe('the duties of a profile', () => {
  it.each([
    // EN 50172:2004, 7.2 (V2): daily indicators of central supplies; monthly and yearly with the tests.
    ['en50172', { look: 'every day', walk: 'every month', yearly: 'every year' }],
    // EN 50172:2024, two summaries in trade press (V2): light measured on site every 5 years at most.
    ['en50172-2024', { photometric: 'every 5 years', competence: 'every year' }],
    // DIN VDE V 0108-100, contents of a test-book handbook (V2): every 3 years.
    ['germany', { photometric: 'every 3 years', 'mains-failure': 'every month', look: 'every day' }],
    // UNI CEI 11222:2013, arts. 4 and 6 (V2): six-monthly inhibit, yearly inspection of each luminaire.
    ['italy', { inhibit: 'every 6 months', walk: 'every year' }],
    // ERP art. EC 14 (V2).
    ['france-erp', { 'walk-and-rest': 'every month' }],
    // I.S. 3217 (V2): a quarterly visit.
    ['ireland', { service: 'every 3 months' }],
    // AS/NZS 2293.2 (V2).
    ['as-nzs-2293', { walk: 'every 6 months' }],
    // Ontario Fire Code 2.7.3.3, 6.7.1.6 (V1): monthly.
    ['canada', { 'battery-look': 'every month' }],
  ])('are those its sources name: %s', (name, expected) => {
    expect(every(name)).toMatchObject(expected);
  });

  it.each(profiles.map(({ name }) => name))(
    'are each there once, with all that every site needs: %s',
    (name) => {
      const ids = under(name).map(({ id }) => id);
      expect(ids.filter((id, i) => ids.indexOf(id) !== i)).toEqual([]);
      for (const id of ['photometric', 'key', 'handover', 'alterations', 'competence'] as const)
        expect(ids).toContain(id);
      expect(ids.some((id) => FORMS[id].byLuminaire)).toBe(true);
    },
  );

  it('say for every interval where it comes from, and never more than their own words do', () => {
    for (const { rule, id } of profiles.flatMap(dutiesUnder)) {
      const { status, source } = rule.due.interval;
      expect(source === 'common practice, no source', id).toBe(status === 'CP');
      if (status === 'V1' || status === 'V2')
        expect(rule.every, id).toMatch(/daily|month|quarter|year|at completion/);
    }
  });

  it('have points that are told apart, each a plain statement', () => {
    for (const [name, { points }] of Object.entries(FORMS)) {
      expect(points.length, name).toBeGreaterThan(1);
      expect(new Set(points.map(({ id }) => id)).size, name).toBe(points.length);
      for (const { id, words } of points) expect(`${id}: ${words}`).toMatch(/^[a-z-]+: [A-Z].{15,}\.$/);
    }
  });
});

describe('a site', () => {
  const ids = (centralSupply?: true) =>
    dutiesOf({ ...HOUSE, ...(centralSupply && { centralSupply }) }).map(({ id }) => id);

  it('has a daily look only with a central supply (EN 50172:2004, 7.2, V2)', () => {
    expect(ids()).not.toContain('look');
    expect(ids(true)[0]).toBe('look');
    expect(dutiesUnder(profileOf('en50172')).map(({ id }) => id)).toEqual(ids(true));
  });
});
