// Numbers of published rules against the data; each names its document.
import { describe, expect, it } from 'vitest';
import {
  briefMostSec,
  commissioningSec,
  fullLeastSec,
  isRatedTooShort,
} from '../../../host/profiles/lengths';
import { profileNames, profileOf, profiles } from '../../../host/profiles/profile';
import { loadSite } from '../../../host/site/load';
import type { Circuit } from '../../../host/site/model';
import { briefSecOf } from '../../../host/site/settings';

const of = (name: string) => profiles.find((profile) => profile.name === name)!;
const RATED = [60, 90, 180].map((minutes) => minutes * 60);
const inMinutes = (sec: number) => sec / 60;

describe('lengths that follow from the rated duration', () => {
  it.each(profileNames())(
    'function tests of %s are at most a quarter: 15, 22.5, 45 min (CIE 193:2010)',
    (name) => {
      expect(RATED.map((rated) => inMinutes(briefMostSec(of(name), rated)))).toEqual([15, 22.5, 45]);
    },
  );

  it('two thirds are 40, 60, 120 min (IEC 62034 through ANSI news of 2006; EN 50171, 6.11.3)', () => {
    for (const name of ['en50172', 'germany']) {
      const { value } = of(name).fullLength.instead!;
      expect(RATED.map((rated) => inMinutes(fullLeastSec(value, rated)))).toEqual([40, 60, 120]);
    }
  });

  it('the first discharge is 1.33 x 90 min, about 120 min, after 16 h (AS 2293.1, 2.2.1 and 2.2.2)', () => {
    expect(inMinutes(commissioningSec(of('as-nzs-2293'))!)).toBe(120);
    expect(of('as-nzs-2293').commissioning!.chargeSec.value).toBe(16 * 3600);
    expect(commissioningSec(of('en50172'))).toBeUndefined();
  });

  it('the duration test is the rated duration (EN 50172:2004, 7.2, annual)', () => {
    expect(RATED.map((rated) => fullLeastSec(of('en50172').fullLength.least.value, rated))).toEqual(RATED);
  });

  it.each([
    ['nfpa101-manual', 90, 'NFPA 101 (2012) 7.9.3.1.1, 1 1/2 h'],
    ['nfpa101-self-testing', 90, 'NFPA 101 (2012) 7.9.3.1.2, 1 1/2 h'],
    ['nfpa101-computer', 90, 'NFPA 101 (2012) 7.9.3.1.3, 1 1/2 h, from memory'],
    ['minnesota', 30, 'Minnesota State Fire Code 604.5, 1104.5.3'],
    ['france-erp', 60, 'art. EC 14'],
    ['ireland', 180, 'I.S. 3217, restated'],
    ['as-nzs-2293', 90, 'AS/NZS 2293.2, restated'],
    ['japan', 30, 'Notice 1830 of 1970, restated'],
    ['singapore', 60, 'Fire Code, explanation to 8.1.1 b'],
    ['hong-kong', 120, 'PPA/104, 4th revision: more than 500 people'],
    ['hong-kong-to-500', 60, 'PPA/104, 4th revision: up to 500 people'],
  ])('the duration test of %s is at least %i min (%s)', (name, minutes) => {
    const profile = of(name);
    expect(RATED.map((rated) => inMinutes(fullLeastSec(profile.fullLength.least.value, rated)))).toEqual([
      minutes,
      minutes,
      minutes,
    ]);
    expect(RATED.map((rated) => isRatedTooShort(profile, rated))).toEqual(
      RATED.map((rated) => rated < minutes * 60),
    );
  });
});

describe('intervals', () => {
  it('NFPA 101 (2012) 7.9.3.1.1: three weeks apart, 30 days, with approval five weeks (Minnesota Department of Health)', () => {
    const { leastGapDays, latestDays, agreedDays, leastSec } = of('nfpa101-manual').brief;
    expect([leastGapDays!.value, latestDays.value, agreedDays!.value]).toEqual([3 * 7, 30, 5 * 7]);
    expect(leastSec!.value).toBe(30);
  });

  it('no other rule lets an authority extend the interval between function tests', () => {
    const extendable = profiles.filter((profile) => profile.brief.agreedDays);
    expect(extendable.map((profile) => profile.name)).toEqual(['nfpa101-manual']);
  });

  it('light within 10 s in the United States (UL 924, restated 2022) and 1 s in Singapore (Fire Code 8.1.1 c)', () => {
    const wanted = profiles.flatMap(({ name, lightWithinSec }) =>
      lightWithinSec ? [[name, lightWithinSec.value, lightWithinSec.status]] : [],
    );
    expect(wanted).toEqual([
      ['minnesota', 10, 'V2'],
      ['nfpa101-computer', 10, 'V2'],
      ['nfpa101-manual', 10, 'V2'],
      ['nfpa101-self-testing', 10, 'V2'],
      ['singapore', 1, 'V1'],
    ]);
  });

  it('NFPA 101 7.9.3.1.2 and 7.9.3.1.3: at least every 30 days', () => {
    for (const name of ['nfpa101-self-testing', 'nfpa101-computer'])
      expect(of(name).brief.latestDays.value).toBe(30);
  });

  it.each([
    ['germany', 7, 365, 'DIN VDE V 0108-100: weekly, yearly'],
    ['ireland', 92, 365, 'I.S. 3217: quarterly, yearly'],
    ['france-erp', 31, 182, 'art. EC 14: monthly, six-monthly'],
    ['italy', 184, 365, 'UNI CEI 11222:2013: six-monthly, yearly'],
    ['as-nzs-2293', 184, 182, 'AS/NZS 2293.2: six-monthly'],
    ['canada', 31, 365, 'Ontario Fire Code 2.7.3.3: monthly, yearly'],
    ['minnesota', 31, 365, 'Minnesota State Fire Code: monthly, yearly'],
    ['cie193', 31, 365, 'CIE 193:2010: monthly, yearly'],
    ['en50172-2024', 31, 365, 'EN 50172:2024: monthly, yearly'],
    ['japan', 31, 182, 'Building Standards Act, art. 12(3): every six months to a year'],
    ['singapore', 31, 365, 'SS 563-2: monthly, yearly'],
    ['hong-kong', 31, 365, 'Cap. 95B, s. 8: at least once in every 12 months'],
    ['hong-kong-to-500', 31, 365, 'Cap. 95B, s. 8: at least once in every 12 months'],
  ])('of %s are %i and %i days (%s)', (name, brief, full) => {
    expect([of(name).brief.latestDays.value, of(name).full.latestDays.value]).toEqual([brief, full]);
  });

  it('only the French rule requires full batteries at each opening (art. EC 14)', () => {
    const wanting = profiles.filter((profile) => profile.fullBeforeOpening?.value);
    expect(wanting.map((profile) => profile.name)).toEqual(['france-erp']);
  });

  it('values from memory are marked as such: the computer-based clause of NFPA 101', () => {
    const { brief, full, fullLength } = of('nfpa101-computer');
    expect(
      [brief.latestDays, brief.leastSec!, full.latestDays.reads!, fullLength.least].map((v) => v.status),
    ).toEqual(['M', 'M', 'M', 'M']);
  });
});

it('the 30 min of the Irish rule are capped at a quarter of the shortest rated duration', () => {
  const loaded = loadSite('docs/examples/museum-of-tides.yaml');
  if ('mistakes' in loaded) throw new Error(loaded.mistakes[0].message);
  const rated = (sec: number): Circuit => {
    const circuit = structuredClone(loaded.site.circuits[0]);
    for (const lamp of circuit.luminaires) lamp.ratedSec = sec;
    return circuit;
  };
  const irish = profileOf('ireland');
  expect(RATED.map((sec) => inMinutes(briefSecOf(rated(sec), irish)))).toEqual([15, 22.5, 30]);
});
