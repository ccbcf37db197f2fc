import { describe, expect, it } from 'vitest';
import { readRows } from '../../../firmware/contract/fields';
import { Mode } from '../../../firmware/contract/lamps';
import { Limit } from '../../../firmware/contract/limits';
import { newSettings, takeSettings } from '../../../firmware/core/settings';
import { makePlan } from '../../../host/planner/planner';
import { profileOf } from '../../../host/profiles/profile';
import { loadSite } from '../../../host/site/load';
import { circuitSettings } from '../../../host/site/settings';

const loaded = loadSite('docs/examples/museum-of-tides.yaml');
if ('mistakes' in loaded) throw new Error(loaded.mistakes[0].message);
const { site } = loaded;
const profile = profileOf(site.profile);
const plan = makePlan(site, profile, Date.parse('2026-01-05T09:00Z') / 1000, 400);

function settingsOf(id: string) {
  const circuit = site.circuits.find((one) => one.id === id)!;
  const own = plan.circuits.find((one) => one.circuit === id)!;
  return circuitSettings(site, circuit, own, profile, 3);
}

describe('the settings of a circuit', () => {
  it('follow the EN 50172 practice of the profile', () => {
    expect(settingsOf('ground-a')).toMatchObject({
      v: 1,
      revision: 3,
      briefSec: 90,
      rechargeSec: 86_400,
      briefRechargeSec: 3600,
      earlyPercent: 50,
      floorPercent: 70,
    });
  });

  it('list the luminaires in sensor order, as the controller reads them', () => {
    const rows = new Uint32Array(4 * Limit.Luminaires);
    const settings = settingsOf('ground-c');
    expect(readRows(settings.lamps, 4, Limit.Luminaires, rows)).toBe(6);
    expect([rows[0], rows[1], rows[2], rows[3]]).toEqual([Mode.NonMaintained, 310, 0, 3600]);
    expect([rows[8], rows[9], rows[10], rows[11]]).toEqual([Mode.SwitchedMaintained, 240, 330, 3600]);
    expect([rows[20], rows[21], rows[22], rows[23]]).toEqual([Mode.Combined, 250, 0, 3600]);
  });

  // AS 2293.1 through EnergySafe 42 (2016), V1: 16 h of charge, then 1.33 times 90 min, about 2 h.
  it('include first charge and commissioning test if the rules have them, and no such test elsewhere', () => {
    expect(settingsOf('ground-a')).toMatchObject({ firstChargeSec: 0, commissionSec: 0 });
    const circuit = { ...site.circuits[0], ratedSec: 5400 };
    const rules = profileOf('as-nzs-2293');
    const ask = (ratedSec: number) =>
      circuitSettings(site, { ...circuit, ratedSec }, plan.circuits[0], rules, 1);
    expect(ask(5400)).toMatchObject({ firstChargeSec: 57_600, commissionSec: 7200 });
    expect(ask(10_800).commissionSec).toBe(10_800);
  });

  it('ask for proof of emptiness only if the circuit is shared', () => {
    expect(settingsOf('top-b')).toMatchObject({ shared: 1, emptySec: 900, fitted: 15 });
    expect(settingsOf('top-a')).toMatchObject({ shared: 0, emptySec: 0, fitted: 13 });
  });

  it('carry the calendar of own nights and a fallback that keeps the intervals of the profile', () => {
    const own = plan.circuits.find((one) => one.circuit === 'ground-a')!;
    const settings = settingsOf('ground-a');
    expect(settings).toMatchObject({ cycle: own.cycle, residue: own.residue, noon: own.noon });
    for (const [days, most] of [
      [settings.briefDays, 28],
      [settings.fullDays, 365],
    ]) {
      const nextOwnNight = Math.ceil(days / own.cycle) * own.cycle;
      expect(nextOwnNight).toBeLessThanOrEqual(most);
      expect(nextOwnNight).toBeGreaterThan(most - own.cycle);
    }
  });

  it('carry shared nights and own hours where the plan gives them, and test as often as these allow', () => {
    const circuit = site.circuits.find((one) => one.id === 'ground-a')!;
    const own = plan.circuits.find((one) => one.circuit === 'ground-a')!;
    const hours = { sharedCycle: 9, sharedResidue: 8, hoursFrom: 79_200, hoursSec: 7200 };
    const rare = { ...own, cycle: 90, residue: 0 };
    const settings = circuitSettings(site, circuit, { ...rare, ...hours }, profile, 1);
    expect(settings).toMatchObject({ ...hours, cycle: 90, briefDays: 26 });
    const core = newSettings();
    expect(takeSettings(core, settings)).toBe(true);
    expect(core).toMatchObject(hours);
    expect(circuitSettings(site, circuit, rare, profile, 1)).not.toHaveProperty('sharedCycle');
  });

  it('keep a function test within a quarter of the shortest rated duration (CIE 193:2010)', () => {
    const circuit = site.circuits.find((one) => one.id === 'ground-c')!;
    const short = { ...circuit, luminaires: circuit.luminaires.map((lamp) => ({ ...lamp, ratedSec: 900 })) };
    const long = {
      ...profile,
      brief: { ...profile.brief, lengthSec: { ...profile.brief.lengthSec, value: 600 } },
    };
    expect(circuitSettings(site, short, plan.circuits[0], long, 1).briefSec).toBe(225);
  });
});

describe('a rule profile', () => {
  it('names a source for every value, or marks it as common practice', () => {
    const { brief, full, earlyPercent, floorPercent } = profile;
    const values = [...Object.values(brief), ...Object.values(full), earlyPercent, floorPercent];
    expect(values.length).toBe(12);
    for (const ruled of values) {
      expect(ruled.value).toBeGreaterThan(0);
      expect(ruled.source.length).toBeGreaterThan(5);
      expect(ruled.source === 'common practice, no source').toBe(ruled.status === 'CP');
    }
  });

  it('that does not exist is refused, listing those that do', () => {
    expect(() => profileOf('en50127')).toThrow('choose one of: en50172');
  });
});
