// How far each value may be trusted. What a document says and what we make of it are told apart here by rules of
// their own, not by the marks under test.
import { describe, expect, it } from 'vitest';
import { profiles } from '../../../host/profiles/profile';
import type { Cited, RuleProfile } from '../../../host/profiles/rule';
import { profileRows } from '../../../host/profiles/table';

/** Days that a rule can name as such: weeks and thirty days. All others stand for a word of the calendar. */
const COUNTED_DAYS = new Set([21, 30, 35]);

/** Shortest and longest number of days between two tests that a word of the calendar can mean. */
const CALENDAR: { [words: string]: [number, number] } = {
  weekly: [7, 7],
  monthly: [28, 31],
  quarterly: [90, 92],
  'six-monthly': [181, 184],
  yearly: [365, 366],
  annual: [365, 366],
  annually: [365, 366],
  'at least once in every 12 months': [365, 366],
  'every six months to a year, as the authority sets': [181, 184],
};

const intervalsOf = ({ brief, full }: RuleProfile) => [brief.everyDays, brief.latestDays, full.latestDays];
const intervals = profiles.flatMap((profile) =>
  intervalsOf(profile).map((cited) => ({ name: profile.name, cited })),
);
const partsOf = ({ fullLength }: RuleProfile) =>
  [fullLength.least, fullLength.instead].flatMap((cited) => (cited ? [cited] : []));
const claimsText = ({ status }: Cited<unknown>) => status === 'V1' || status === 'V2' || status === 'M';

describe('readings', () => {
  it('a text is claimed for an interval only where a text can count days', () => {
    const claimed = intervals.filter(({ cited }) => claimsText(cited) && !COUNTED_DAYS.has(cited.value));
    expect(claimed).toEqual([]);
    // Those that do: thirty days in the three clauses of NFPA 101.
    expect(new Set(intervals.filter(({ cited }) => claimsText(cited)).map(({ name }) => name))).toEqual(
      new Set(['nfpa101-computer', 'nfpa101-manual', 'nfpa101-self-testing']),
    );
  });

  it('every reading of an interval quotes words that can mean it', () => {
    const read = intervals.filter(({ cited }) => cited.status === 'OUR');
    expect(read.length).toBeGreaterThan(30);
    for (const { name, cited } of read) {
      const [least, most] = CALENDAR[cited.reads!.words];
      expect(cited.value, `${name}: ${cited.reads!.words}`).toBeGreaterThanOrEqual(least);
      expect(cited.value, `${name}: ${cited.reads!.words}`).toBeLessThanOrEqual(most);
    }
  });

  it('"monthly" is 28 to 31 days and "quarterly" 91 to 92 only as we read it', () => {
    const words = (name: string) => {
      const { everyDays, latestDays } = profiles.find((profile) => profile.name === name)!.brief;
      return [everyDays, latestDays].map((cited) => [cited.value, cited.status, cited.reads?.words]);
    };
    for (const name of [
      'en50172',
      'en50172-2024',
      'cie193',
      'canada',
      'minnesota',
      'france-erp',
      'singapore',
    ])
      expect(words(name), name).toEqual([
        [28, 'OUR', 'monthly'],
        [31, 'OUR', 'monthly'],
      ]);
    expect(words('ireland')).toEqual([
      [91, 'OUR', 'quarterly'],
      [92, 'OUR', 'quarterly'],
    ]);
  });

  it('two thirds of the time are our reading of a part of the capacity, and no clause is claimed that was not read', () => {
    const parts = profiles.flatMap(partsOf).filter((cited) => cited.value.rule === 'part');
    expect(parts.length).toBeGreaterThan(1);
    for (const cited of parts) {
      expect(cited.status).toBe('OUR');
      expect(cited.reads!.words).toMatch(/capacity/);
      if (cited.source.startsWith('IEC 62034')) expect([cited.clause, cited.year]).toEqual(['', 2006]);
    }
  });

  it('half of the current at 5 s is our reading of half of the light', () => {
    for (const { earlyPercent } of profiles) {
      expect(earlyPercent.status).toBe('OUR');
      expect(earlyPercent.reads!.words).toContain('light');
    }
  });

  it('a clause column holds clauses, and no words like monthly', () => {
    for (const profile of profiles)
      for (const { source } of profileRows(profile))
        expect(source, profile.name).not.toMatch(/, (weekly|monthly|quarterly|six-monthly|yearly|annual)$/);
  });
});

describe('values that no source gives', () => {
  const without = profiles.filter(({ brief }) => brief.latestDays.status === 'NONE');

  it('are function tests in Japan and Hong Kong', () => {
    expect(without.map(({ name }) => name)).toEqual(['hong-kong', 'hong-kong-to-500', 'japan']);
    for (const { fullLength, full } of without)
      expect([fullLength.least, full.latestDays].map(({ status }) => status)).not.toContain('NONE');
  });

  it('are no longer than "monthly" is read anywhere, and the profile says who decides', () => {
    const monthly = intervals.filter(({ cited }) => cited.reads?.words === 'monthly');
    const longest = Math.max(...monthly.map(({ cited }) => cited.value));
    for (const { name, brief, notes } of without) {
      expect(brief.latestDays.value, name).toBeLessThanOrEqual(longest);
      expect(notes.join(' '), name).toMatch(
        /No text we read gives an interval.*(authority|department) decides/,
      );
    }
  });
});

it('the German edition of EN 50172:2024 is named where it matters, with its number and date', () => {
  const naming = profiles.filter((profile) =>
    [profile.title, ...profile.notes].join(' ').includes('DIN EN 50172 (VDE 0108-100):2024-10'),
  );
  expect(naming.map(({ name }) => name)).toEqual(['en50172-2024', 'germany']);
});
