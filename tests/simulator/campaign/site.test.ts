import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import { takePlan } from '../../../firmware/core/schedule';
import { newSettings, takeSettings } from '../../../firmware/core/settings';
import { newCore } from '../../../firmware/core/state';
import { commissioningSec } from '../../../host/profiles/lengths';
import { profiles } from '../../../host/profiles/profile';
import { CALM_END_MS } from '../../../simulator/campaign/incidents';
import { CAMPAIGN_RULES } from '../../../simulator/campaign/rules';
import { sceneOf } from '../../../simulator/campaign/run';
import { DAY_MS, drawSite } from '../../../simulator/campaign/site';
import { spanOf } from '../../../simulator/faults';

const RUNS = Array.from({ length: 40 }, (_, run) => ({ seed: 11, run }));

it.each(CAMPAIGN_RULES.map((rules) => [rules.profile, rules] as const))(
  'takes its numbers from the rule profile %s',
  (name, rules) => {
    const profile = profiles.find((one) => one.name === name)!;
    expect(rules).toEqual({
      profile: name,
      briefDays: profile.brief.everyDays.value,
      fullDays: profile.full.latestDays.value,
      briefSec: profile.brief.lengthSec.value,
      briefRechargeSec: profile.brief.rechargeSec.value,
      rechargeSec: profile.full.rechargeSec.value,
      firstChargeSec: profile.commissioning?.chargeSec.value ?? 0,
      commissionSec: commissioningSec(profile) ?? 0,
    });
  },
);

describe('a random site', () => {
  it('is one that a controller accepts, settings and every plan', () => {
    for (const at of RUNS)
      for (const { settings, plans } of drawSite(at).circuits) {
        const core = newCore(1);
        expect(takeSettings(core.set, settings), JSON.stringify(settings)).toBe(true);
        expect(takeSettings(newSettings(), settings)).toBe(true);
        for (const { message } of plans) expect(takePlan(core, message, 1, 0), message.slots).toBe(true);
      }
  });

  it('is the same for the same numbers and another for others', () => {
    const text = (seed: number, run: number) => JSON.stringify(sceneOf({ seed, run }));
    expect(text(1, 5)).toBe(text(1, 5));
    expect(text(1, 5)).not.toBe(text(1, 6));
    expect(text(1, 5)).not.toBe(text(2, 5));
  });

  it('comes in every promised size', () => {
    const sites = Array.from({ length: 400 }, (_, run) => drawSite({ seed: 5, run }));
    const sizes = new Set(sites.map((site) => site.circuits.length));
    const years = new Set(sites.map((site) => site.days / 365));
    const lamps = new Set(sites.flatMap((site) => site.circuits.map((c) => c.spec.lamps.length)));
    expect([...sizes].sort()).toEqual([1, 2, 3, 4]);
    expect([Math.min(...years), Math.max(...years)]).toEqual([1, 10]);
    expect([Math.min(...lamps), Math.max(...lamps)]).toEqual([1, 16]);
  });

  it('gives neighbours nights that never meet the recharge of another', () => {
    for (const at of RUNS)
      for (const { spec } of drawSite(at).circuits) {
        const { cycle, residue } = spec.rules;
        for (const id of spec.neighbours) {
          const other = drawSite(at).circuits.find((c) => c.spec.circuit === id)!.spec.rules;
          const apart = Math.abs(residue - other.residue);
          expect(Math.min(apart, cycle - apart)).toBeGreaterThanOrEqual(2);
        }
      }
  });

  it('gives neighbours that share nights hours of their own, far from every own night of either', () => {
    let shared = 0;
    for (let run = 0; run < 200; run++) {
      const { circuits } = drawSite({ seed: 11, run });
      for (const { spec } of circuits) {
        const { noon, cycle, sharedCycle, sharedResidue = 0, hoursFrom = 0, hoursSec = 0 } = spec.rules;
        if (!sharedCycle) continue;
        const sinceNoon = (daySec: number) => (daySec - noon + 86_400) % 86_400;
        for (const id of spec.neighbours) {
          const other = circuits.find((c) => c.spec.circuit === id)!.spec.rules;
          const [from, to] = [sinceNoon(hoursFrom), sinceNoon(hoursFrom) + hoursSec];
          const otherFrom = sinceNoon(other.hoursFrom ?? 0);
          expect(otherFrom >= to || otherFrom + (other.hoursSec ?? 0) <= from).toBe(true);
          // After an own night, a night for its recharge.
          expect((sharedResidue - other.residue + cycle) % cycle).toBeGreaterThanOrEqual(2);
          shared++;
        }
      }
    }
    expect(shared).toBeGreaterThan(10);
  });

  it('plans no test twice in a night, and keeps a window for people where there is a commissioning test', () => {
    for (const at of RUNS)
      for (const { tests, settings } of drawSite(at).circuits) {
        for (let i = 1; i < tests.length; i++) expect(tests[i].from).toBeGreaterThan(tests[i - 1].to);
        if (settings.commissionSec) expect(tests[0].kind).toBe(TestKind.None);
      }
  });
});

const WIRING = ['glows on mains', 'fed from elsewhere', 'sensor shared'];

describe('a random schedule', () => {
  it('lists its incidents in order of time, numbers wrong wiring after the rest, and plans none for the last days', () => {
    for (const at of RUNS) {
      const { site, incidents } = sceneOf(at);
      const isWiring = ({ fault }: (typeof incidents)[0]) => WIRING.includes(fault?.kind ?? '');
      const inOrder = [...incidents.filter((one) => !isWiring(one)), ...incidents.filter(isWiring)];
      expect(inOrder.map(({ number }) => number)).toEqual(incidents.map((_, i) => i));
      expect(incidents.map((one) => one.at)).toEqual(incidents.map((one) => one.at).sort((a, b) => a - b));
      const end = site.days * DAY_MS - CALM_END_MS;
      for (const { fault, at: when } of incidents) {
        expect(when).toBeGreaterThanOrEqual(DAY_MS);
        if (fault && ('to' in fault || 'repairedAt' in fault))
          expect(spanOf(fault).to, fault.kind).toBeLessThanOrEqual(end);
      }
    }
  });

  it('leaves out what a cut leaves out, and nothing else', () => {
    const at = { seed: 2, run: 3 };
    const { site, incidents } = sceneOf(at);
    const [first] = site.circuits.map((c) => c.spec.circuit);
    const cut = sceneOf(at, { circuits: [first], days: 100 });
    expect(cut.incidents).toEqual(incidents.filter(({ circuit }) => circuit === first));
    expect(cut.site.circuits[0].plans).toEqual(site.circuits[0].plans);
    expect(sceneOf(at, { keep: [1, 4] }).incidents.map(({ number }) => number)).toEqual([1, 4]);
    for (const { fault } of sceneOf(at, { lamps: 1 }).incidents)
      if (fault && 'luminaire' in fault) expect(fault.luminaire).toBe('la');
  });
});
