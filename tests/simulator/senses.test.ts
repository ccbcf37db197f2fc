// A circuit left alone while its contact is held open gives the same readings as one checked every time.
import { describe, expect, it } from 'vitest';
import { newInputs } from '../../firmware/core/inputs';
import { type CircuitPlant, newCircuitPlant } from '../../simulator/plant/circuit';
import { Senses } from '../../simulator/senses';

const LAMP = {
  ...{ id: 'l0', mode: 0 as const, ratedSec: 3600, batteryMilliamps: 200, mainsMilliamps: 0 },
  ...{ chemistry: 'NiCd' as const, margin: 1.4 },
};
const DRIVEN_MS = 20_000;

/** What the board sees every 5 ms during a discharge of 20 s and shortly after it. */
function seen(plant: (c: CircuitPlant) => void, isLookedAt: boolean) {
  const c = newCircuitPlant('c1', [LAMP], 1);
  plant(c);
  const senses = new Senses(c);
  const inputs = newInputs();
  const all: number[] = [];
  let stillMs = 0;
  for (let now = 0; now < DRIVEN_MS + 5000; now += 5) {
    if (isLookedAt) senses.touch();
    senses.settle(now);
    if (now % 250 === 0) senses.drive(now >= 1000 && now < DRIVEN_MS, now + 3000, now);
    senses.settle(now);
    senses.read(inputs, now, false);
    if (now < senses.stillFor()) stillMs += 5;
    all.push(inputs.supplyA, inputs.supplyB, inputs.aux, inputs.occupied, inputs.stop, inputs.key);
    all.push(c.supplied ? 1 : 0, c.suppliedChangedAt);
  }
  return { all, stillMs };
}

describe('the senses of a circuit that is held open', () => {
  it.each<[string, (c: CircuitPlant) => void, number]>([
    ['a sound relay', () => {}, 18_000],
    ['a contact that chatters', (c) => c.relay.bounces.push({ from: 0, to: 1e9, bounceMs: 1700 }), 16_000],
    ['a coil that breaks', (c) => c.relay.openCoils.push({ from: 9015, to: 12_035 }), 15_000],
    ['an outage', (c) => c.outages.push({ from: 7010, to: 8020 }), 17_000],
    ['a stop', (c) => c.stops.push({ from: 7010, to: 8020 }), 17_000],
    ['a brown-out', (c) => c.brownOuts.push({ from: 5000, to: 9000, everyMs: 700, lowMs: 90 }), 13_000],
  ])('read the same whether it is left alone or not, and it is left alone most of the time: %s', (...row) => {
    const [, plant, atLeastMs] = row;
    const one = seen(plant, false);
    expect(one.all).toEqual(seen(plant, true).all);
    expect(one.stillMs).toBeGreaterThan(atLeastMs);
  });
});
