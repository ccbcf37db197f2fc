import { describe, expect, it } from 'vitest';
import type { Mode } from '../../../firmware/contract/lamps';
import {
  type CircuitPlant,
  newCircuitPlant,
  passOverLampSensors,
  readLampSensors,
  settleCircuit,
  staysAtLeast,
} from '../../../simulator/plant/circuit';
import { type LuminaireSpec, plantLuminaireFault, sensorMilliamps } from '../../../simulator/plant/luminaire';

const LAMPS = Array.from(
  { length: 16 },
  (_, i): LuminaireSpec => ({
    id: `l${i}`,
    mode: (i % 4) as Mode,
    ratedSec: 3600,
    batteryMilliamps: 100 + 10 * i,
    mainsMilliamps: 300,
    chemistry: (['NiCd', 'NiMH', 'LiFePO4'] as const)[i % 3],
    margin: 0.8 + 0.05 * i,
    driver: i % 5 === 0 ? 'fluorescent' : 'LED',
  }),
);

function reads(c: CircuitPlant, now: number, isNoisy: boolean, into = new Int16Array(16)): Int16Array {
  readLampSensors(c, now, isNoisy, into, 16);
  return into;
}

/** A circuit with faults on some lamps, in an outage from 1000 s to 6000 s. */
function circuit(): CircuitPlant {
  const c = newCircuitPlant('c1', LAMPS, 1);
  c.outages.push({ from: 1_000_000, to: 6_000_000 });
  const plant = (i: number, fault: Parameters<typeof plantLuminaireFault>[1]) =>
    plantLuminaireFault(c.luminaires[i], fault);
  plant(1, { from: 2_000_000, to: 3_000_000, kind: 'dead lamp' });
  plant(2, { from: 500_000, to: 1e12, kind: 'slow start', slowMs: 7000 });
  plant(3, { from: 0, to: 1e12, kind: 'dim lamp', output: 0.6 });
  plant(4, { from: 1_500_000, to: 4_000_000, kind: 'sensor stuck' });
  plant(6, { from: 0, to: 1e12, kind: 'sensor drift', milliampsPerDay: 500 });
  plant(7, { from: 0, to: 1e12, kind: 'aged battery', lastsMs: 1_200_000 });
  plant(8, { from: 0, to: 1e12, kind: 'sensor cross-talk', with: c.luminaires[9], share: 0.3 });
  plant(9, { from: 2_500_000, to: 2_600_000, kind: 'sensor open' });
  return c;
}

describe('the readings of a circuit', () => {
  it('are those of its sensors one by one, through faults, repairs, an outage and empty batteries', () => {
    const together = circuit();
    const oneByOne = circuit();
    const into = new Int16Array(16);
    for (let now = 0; now < 8_000_000; now += now > 990_000 && now < 1_060_000 ? 125 : 2000) {
      settleCircuit(together, now);
      settleCircuit(oneByOne, now);
      const expected = oneByOne.luminaires.map((l) => sensorMilliamps(l, now, 0));
      expect([...reads(together, now, false, into)], `at ${now}`).toEqual(expected);
    }
  });

  it('have a noise of some milliamperes around the truth', () => {
    const c = newCircuitPlant('c1', LAMPS, 1);
    const all = Array.from({ length: 4000 }, () => reads(c, 1000, true)[1]);
    const mean = all.reduce((sum, x) => sum + x, 0) / all.length;
    const spread = Math.sqrt(all.reduce((sum, x) => sum + (x - mean) ** 2, 0) / all.length);
    expect(Math.abs(mean - 300)).toBeLessThan(0.3);
    expect(spread).toBeGreaterThan(1.8);
    expect(spread).toBeLessThan(2.3);
  });

  it('are noisy lamp by lamp, the same for the same seed only', () => {
    const first = (seed: number) =>
      [...reads(newCircuitPlant('c', LAMPS, seed), 1000, true)].map((x) => x % 300);
    expect(first(1)).toEqual(first(1));
    expect(first(1)).not.toEqual(first(2));
    expect(new Set(first(1)).size).toBeGreaterThan(3);
  });

  it('stay at a level that the end of the span, and no later one, still holds', () => {
    const one = { ...LAMPS[1], driver: 'LED' as const };
    const c = newCircuitPlant('c1', [one], 1);
    c.outages.push({ from: 1_000_000, to: 6_000_000 });
    settleCircuit(c, 1_000_000);
    const from = 1_010_000;
    reads(c, from, true);
    const lastsMs = c.luminaires[0].battery.endAt - 1_000_000;
    const truth = (share: number) => 110 * (1.03 - 0.08 * share * share);
    for (const share of [0.2, 0.5, 0.9, 0.99]) {
      const to = 1_000_000 + share * lastsMs;
      const stays = (level: number) => staysAtLeast(c, from, to, Int16Array.of(level), 1);
      // Noise is at most 3.46 times its standard deviation of 2 mA.
      expect([share, stays(Math.floor(truth(share) - 8)), stays(Math.ceil(truth(share) - 4))]).toEqual([
        share,
        true,
        false,
      ]);
    }
    expect(staysAtLeast(c, from, 1_000_000 + lastsMs, Int16Array.of(-32768), 1)).toBe(false);
  });

  it('are the same whether or not others were skipped before them', () => {
    const one = newCircuitPlant('c', LAMPS, 1);
    const other = newCircuitPlant('c', LAMPS, 1);
    for (let i = 0; i < 500; i++) reads(one, 1000 + i, true);
    passOverLampSensors(other, 500, true);
    expect(reads(other, 2000, true)).toEqual(reads(one, 2000, true));
    passOverLampSensors(other, 500, false);
    expect(reads(other, 2000, true)).toEqual(reads(one, 2000, true));
  });
});
