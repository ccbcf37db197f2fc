import { describe, expect, it } from 'vitest';
import { Limit } from '../../../firmware/contract/limits';
import { needsSchedule, profileFor, profileNames, profileOf, profiles } from '../../../host/profiles/profile';
import type { Cited, RuleProfile } from '../../../host/profiles/rule';
import { parseSite } from '../../../host/site/load';
import { SMALL } from '../site/small';

const SCHEDULE = { reference: 'CS 4711', briefDays: 31, fullDays: 365, fullMinutes: 90 };

/** A profile as a site gets it. */
const ready = (name: string): RuleProfile => profileOf(name, needsSchedule(name) ? SCHEDULE : undefined);

/** Every value with a status anywhere in a profile, with the path to it. */
function citedIn(part: unknown, path: string): [string, Cited<unknown>][] {
  if (typeof part !== 'object' || part === null) return [];
  if ('status' in part) return [[path, part as Cited<unknown>]];
  return Object.entries(part).flatMap(([key, value]) => citedIn(value, path ? `${path}.${key}` : key));
}

const FORMER = {
  // The default profile's original values: plans and simulations depend on them.
  brief: [28, 31, 20, 90, 4, 3600],
  full: [365, 60, 86_400],
  lamps: [50, 70],
};

describe('the default profile', () => {
  it('keeps its numbers', () => {
    const { brief, full, earlyPercent, floorPercent } = profileOf('en50172');
    const { everyDays, latestDays, earliestDays, lengthSec, partOfRated, rechargeSec } = brief;
    const values = [everyDays, latestDays, earliestDays, lengthSec, partOfRated, rechargeSec];
    expect(values.map((one) => one.value)).toEqual(FORMER.brief);
    expect([full.latestDays, full.earlierDays, full.rechargeSec].map((one) => one.value)).toEqual(
      FORMER.full,
    );
    expect([earlyPercent.value, floorPercent.value]).toEqual(FORMER.lamps);
    expect(brief.leastGapDays).toBeUndefined();
    expect(profileNames()[0]).toBe('en50172');
  });
});

describe.each(profileNames())('the profile %s', (name) => {
  const profile = ready(name);
  const { brief, full } = profile;

  it('names a source for every value, or says that there is none', () => {
    const cited = citedIn(profile, '');
    expect(cited.length).toBeGreaterThan(12);
    for (const [path, { source, status, year }] of cited) {
      expect(['V1', 'V2', 'OUR', 'M', 'M?', 'CP', 'NONE', 'SITE'], path).toContain(status);
      expect(source.trim().length, path).toBeGreaterThan(5);
      expect(source === 'common practice, no source', path).toBe(status === 'CP');
      expect(source === 'no source gives it', path).toBe(status === 'NONE');
      if (year !== undefined) expect(year, path).toBeGreaterThan(1945);
    }
  });

  it('leaves no bare number without a source', () => {
    const bare = (part: unknown, path: string): string[] => {
      if (typeof part === 'number') return [path];
      if (typeof part !== 'object' || part === null || 'status' in part) return [];
      return Object.entries(part).flatMap(([key, value]) => bare(value, `${path}.${key}`));
    };
    expect(bare(profile, '')).toEqual([]);
  });

  it('has a valid name, a title and complete notes', () => {
    expect(name).toMatch(/^[a-z0-9-]{1,24}$/);
    for (const words of [profile.title, ...profile.notes]) expect(words.length).toBeGreaterThan(20);
    for (const note of profile.notes) expect(note).toMatch(/\.$/);
    expect(JSON.stringify(profile)).not.toMatch(/complies with(?! any)|compliant|certified/i);
  });

  it('has intervals in order', () => {
    const least = brief.leastGapDays?.value ?? 1;
    expect(least).toBeGreaterThanOrEqual(1);
    expect(brief.earliestDays.value).toBeGreaterThanOrEqual(least);
    expect(brief.everyDays.value).toBeGreaterThanOrEqual(brief.earliestDays.value);
    expect(brief.latestDays.value).toBeGreaterThanOrEqual(brief.everyDays.value);
    expect(brief.agreedDays?.value ?? Number.POSITIVE_INFINITY).toBeGreaterThan(brief.latestDays.value);
    expect(full.earlierDays.value).toBeLessThan(full.latestDays.value);
  });

  it('stays within what a controller accepts', () => {
    expect(brief.lengthSec.value).toBeGreaterThanOrEqual(Limit.BriefSecMin);
    expect(brief.lengthSec.value).toBeGreaterThanOrEqual(brief.leastSec?.value ?? 0);
    expect(brief.lengthSec.value).toBeLessThanOrEqual(Limit.RatedSecMax / Limit.BriefShareOfRated);
    expect(brief.partOfRated.value).toBeGreaterThanOrEqual(Limit.BriefShareOfRated);
    expect(full.rechargeSec.value).toBeGreaterThanOrEqual(3600);
    expect(full.rechargeSec.value).toBeLessThanOrEqual(604_800);
    expect(brief.rechargeSec.value).toBeLessThanOrEqual(full.rechargeSec.value);
    expect(brief.everyDays.value).toBeLessThanOrEqual(400);
    expect(full.latestDays.value).toBeLessThanOrEqual(1200);
    expect(profile.earlyPercent.value).toBeLessThan(profile.floorPercent.value);
  });

  it('requires records for four years or more (DIN VDE V 0108-100, the longest found)', () => {
    expect(profile.records.years.value).toBeGreaterThanOrEqual(4);
  });
});

describe('a profile that follows a compliance schedule', () => {
  it('is refused without one, in one sentence', () => {
    expect(() => profileFor({ profile: 'new-zealand' })).toThrow(
      /has no intervals of its own; give complianceSchedule/,
    );
  });

  it('takes its intervals and length from it and says so', () => {
    const { brief, full, fullLength } = profileFor({ profile: 'new-zealand', complianceSchedule: SCHEDULE });
    expect([brief.latestDays, full.latestDays].map((one) => [one.value, one.status])).toEqual([
      [31, 'SITE'],
      [365, 'SITE'],
    ]);
    expect(fullLength.least.value).toEqual({ rule: 'minutes', minutes: 90 });
    expect(fullLength.least.source).toBe('compliance schedule CS 4711');
  });

  const written =
    'complianceSchedule: { reference: CS 4711, briefDays: 31, fullDays: 365, fullMinutes: 90 }\n';
  const said = (top: string): string[] => {
    const result = parseSite(SMALL.replace('responsible:', `${top}responsible:`), 'mill.yaml');
    return 'mistakes' in result ? result.mistakes.map((m) => `${m.line} ${m.field}: ${m.message}`) : [];
  };

  it.each([
    ['asks for it in the site file', 'profile: new-zealand\n', /^4 profile: .* write complianceSchedule/],
    ['asks for no such thing elsewhere', written, /^4 complianceSchedule: .* remove it/],
    [
      'names an unknown field in it',
      `profile: new-zealand\n${written.replace('fullDays', 'fullDay')}`,
      /did you mean "fullDays"/,
    ],
    [
      'names a value that cannot be',
      `profile: new-zealand\n${written.replace('365', '9')}`,
      /fullDays: must be the maximum days/,
    ],
  ])('%s', (_, top, sentence) => {
    expect(said(top).join('; ')).toMatch(sentence);
  });

  it('is accepted with one', () => {
    expect(said(`profile: new-zealand\n${written}`)).toEqual([]);
  });
});

describe('the agreement of an authority to a longer interval', () => {
  const agreed = (briefDays: number) =>
    `profile: nfpa101-manual\nauthorityAgreement: { reference: 'Fire marshal, 3 Feb 2026', briefDays: ${briefDays} }\n`;
  const parsed = (top: string) => parseSite(SMALL.replace('responsible:', `${top}responsible:`), 'mill.yaml');
  const said = (top: string): string => {
    const result = parsed(top);
    return 'mistakes' in result
      ? result.mistakes.map((m) => `${m.line} ${m.field}: ${m.message}`).join('; ')
      : '';
  };

  it('is needed for more than 30 days (NFPA 101 7.9.3.1.1), and its reference is the source of the value', () => {
    const limit = (top: string) => {
      const result = parsed(top);
      if ('mistakes' in result) throw new Error(result.mistakes[0].message);
      const { value, status, source } = profileFor(result.site).brief.latestDays;
      return [value, status, source];
    };
    expect(limit('profile: nfpa101-manual\n').slice(0, 2)).toEqual([30, 'V1']);
    expect(limit(agreed(35))).toEqual([35, 'SITE', 'agreement Fire marshal, 3 Feb 2026']);
    expect(limit(agreed(31)).slice(0, 2)).toEqual([31, 'SITE']);
  });

  it.each([36, 30, 7])('cannot make it %i days', (days) => {
    expect(said(agreed(days))).toMatch(
      /^5 authorityAgreement\.briefDays: the rule allows 30 days .* at most 35 .*; write 31 to 35, or remove/,
    );
  });

  it.each(['en50172', 'nfpa101-computer', 'minnesota'])('does not exist under %s', (name) => {
    expect(said(agreed(35).replace('nfpa101-manual', name))).toMatch(
      /^5 authorityAgreement: is only for a rule whose interval the authority may extend; remove it/,
    );
  });

  it('must say who agreed', () => {
    expect(said(agreed(35).replace(/reference: '.*', /, ''))).toMatch(/reference: .*who agreed/);
  });
});

describe('tests on top of those that the rule asks for', () => {
  const said = (top: string): string => {
    const result = parseSite(SMALL.replace('responsible:', `${top}responsible:`), 'mill.yaml');
    return 'mistakes' in result
      ? result.mistakes.map((m) => `${m.line} ${m.field}: ${m.message}`).join('; ')
      : '';
  };
  const wish = (profile: string, functionDays: number | string, durationDays: number | string) =>
    said(
      `profile: ${profile}\ntestMore: { functionTestDays: ${functionDays}, durationTestDays: ${durationDays} }\n`,
    );

  it.each([
    ['en50172', 7, 28],
    ['en50172', 31, 365],
    ['nfpa101-manual', 21, 90],
    ['germany', 7, 35],
  ])('may be asked for under %s every %i and %i days', (profile, brief, full) => {
    expect(wish(profile, brief, full)).toBe('');
  });

  it.each([
    [
      'en50172',
      32,
      28,
      /^5 testMore\.functionTestDays: the rule already asks for function tests every 31 days; write 7 to 31, or remove testMore\.?$/,
    ],
    [
      'en50172',
      7,
      400,
      /^5 testMore\.durationTestDays: the rule already asks for duration tests every 36[56] days; write 28 to 36[56], or remove testMore\.?$/,
    ],
    [
      'nfpa101-manual',
      14,
      90,
      /^5 testMore\.functionTestDays: the rule permits none within 21 days of another; write 21 to 30, or remove testMore\.?$/,
    ],
    ['en50172', 6, 28, /^5 testMore\.functionTestDays: .*days between function tests.*7.*366/],
    ['en50172', 7, 27, /^5 testMore\.durationTestDays: .*days between duration tests.*28.*1097/],
    ['en50172', '', 28, /^5 testMore\.functionTestDays: .*days between function tests/],
  ])('are a mistake under %s with %s and %s days, in one sentence', (profile, brief, full, sentence) => {
    expect(wish(profile, brief, full)).toMatch(sentence);
  });

  it('need both intervals', () => {
    expect(said('testMore: { functionTestDays: 7 }\n')).toMatch(/^4 testMore.*durationTestDays/);
  });

  it('say nothing more where the profile itself is the mistake', () => {
    expect(wish('nowhere', 32, 28)).toMatch(
      /^4 profile: there is no rule profile "nowhere"[^;]*; write one of[^;]*$/,
    );
  });
});

it('no two profiles share a name', () => {
  expect(new Set(profileNames()).size).toBe(profiles.length);
});
