// What is reported gets repaired, and when each failure was found.
import { expect, it } from 'vitest';
import { Repairs } from '../../../simulator/people/repairs';
import { newCircuitPlant } from '../../../simulator/plant/circuit';
import { isLitOnBattery, plantLuminaireFault, setSupplied } from '../../../simulator/plant/luminaire';

const DAY = 86_400_000;
const HOUR = 3_600_000;
const YEAR = 365.25 * DAY;
const EVER = Number.POSITIVE_INFINITY;

function plant() {
  const lamp = (id: string) => ({
    ...{ id, mode: 0 as const, ratedSec: 3600, batteryMilliamps: 200, mainsMilliamps: 0 },
    ...{ chemistry: 'NiMH' as const, margin: 1.3 },
  });
  return newCircuitPlant('c', [lamp('l0'), lamp('l1')], 1);
}

it('repairs everything wrong with a luminaire at the visit, and says what the report and what the visit found', () => {
  const c = plant();
  const [l] = c.luminaires;
  plantLuminaireFault(l, { kind: 'dead lamp', from: 10 * DAY, to: EVER });
  plantLuminaireFault(l, { kind: 'charger dead', from: 22 * DAY, to: EVER });
  plantLuminaireFault(l, { kind: 'dead lamp', from: 90 * DAY, to: EVER });
  const repairs = new Repairs(c, { afterMs: 7 * DAY });
  repairs.report(0, 20 * DAY);
  expect(repairs.known).toEqual([
    { luminaire: 'l0', what: 'dead lamp', at: 10 * DAY, foundAt: 20 * DAY },
    { luminaire: 'l0', what: 'charger dead', at: 22 * DAY, foundAt: 27 * DAY },
  ]);
  expect(l.faults.map(({ to }) => to)).toEqual([27 * DAY, 27 * DAY, EVER]);
  setSupplied(l, false, 30 * DAY);
  expect(isLitOnBattery(l, 30 * DAY)).toBe(true);
  // A second report while someone is on the way changes nothing, and the next failure is not known yet.
  repairs.report(0, 21 * DAY);
  expect([repairs.known.length, repairs.soundReported]).toEqual([2, 0]);
  expect(repairs.unknown(95 * DAY)).toEqual([{ luminaire: 'l0', what: 'dead lamp', at: 90 * DAY }]);
});

it('does not count a dead lamp a second time', () => {
  const c = plant();
  for (const day of [10, 15])
    plantLuminaireFault(c.luminaires[1], { kind: 'dead lamp', from: day * DAY, to: EVER });
  const repairs = new Repairs(c, { afterMs: DAY });
  expect(repairs.unknown(20 * DAY)).toHaveLength(1);
  repairs.report(1, 20 * DAY);
  expect(repairs.known).toHaveLength(1);
  expect(repairs.unknown(30 * DAY)).toEqual([]);
});

it('replaces a battery worn out by age, and knows when it became too weak', () => {
  const c = plant();
  const repairs = new Repairs(c, { afterMs: 7 * DAY });
  // 5 % a year and a Peukert exponent of 1.08: 1/1.3 of the hours are left after ln(1.3) / (1.08 * -ln(0.95))
  // = 4.736 years.
  const worn = (years: number) =>
    repairs.unknown(years * YEAR).map(({ what, luminaire }) => [luminaire, what]);
  expect(worn(4.7)).toEqual([]);
  expect(worn(4.8)).toEqual([
    ['l0', 'worn battery'],
    ['l1', 'worn battery'],
  ]);
  repairs.report(0, 5 * YEAR);
  expect(repairs.known).toMatchObject([{ luminaire: 'l0', what: 'worn battery', foundAt: 5 * YEAR }]);
  expect(repairs.known[0].at / YEAR).toBeCloseTo(4.736, 2);
  expect(worn(5.5)).toEqual([['l1', 'worn battery']]);
});

it('knows that a battery reported as worn was worn, even if it breaks before anyone comes', () => {
  const c = plant();
  const [l] = c.luminaires;
  const at = 5 * YEAR;
  plantLuminaireFault(l, { kind: 'aged battery', lastsMs: 600_000, from: at + 3 * DAY, to: EVER });
  const repairs = new Repairs(c, { afterMs: 7 * DAY });
  repairs.report(0, at);
  expect(repairs.soundReported).toBe(0);
  expect(repairs.known).toMatchObject([{ luminaire: 'l0', what: 'worn battery', foundAt: at }]);
  // The visit fits a new battery.
  expect(repairs.unknown(6 * YEAR).map(({ luminaire }) => luminaire)).toEqual(['l1']);
});

it('counts a report on a sound luminaire, and repairs nothing', () => {
  const c = plant();
  const repairs = new Repairs(c, { afterMs: DAY });
  repairs.report(0, DAY);
  expect(repairs).toMatchObject({ known: [], soundReported: 1 });
  expect(c.luminaires[0].faults).toEqual([]);
});

it('blames a report on what was broken during the test, though it was repaired before the report came', () => {
  const c = plant();
  plantLuminaireFault(c.luminaires[0], { kind: 'dead lamp', from: 2 * DAY, to: EVER });
  const repairs = new Repairs(c, { afterMs: 14 * DAY });
  repairs.report(0, 6 * DAY, 6 * DAY - 3 * HOUR);
  // The next test has found it dark when the electrician arrives, and ends two hours later.
  repairs.report(0, 20 * DAY + 2 * HOUR, 20 * DAY - HOUR);
  expect(repairs.soundReported).toBe(0);
  expect(repairs.known).toEqual([{ luminaire: 'l0', what: 'dead lamp', at: 2 * DAY, foundAt: 6 * DAY }]);
  // A test that began after the visit has no such excuse.
  repairs.report(0, 40 * DAY, 40 * DAY - 3 * HOUR);
  expect(repairs.soundReported).toBe(1);
});

it('has everything on the circuit checked after a tester fault, and blames nothing that is sound', () => {
  const c = plant();
  plantLuminaireFault(c.luminaires[1], { kind: 'dead lamp', from: DAY, to: EVER });
  const repairs = new Repairs(c, { afterMs: DAY });
  repairs.reportAll(3 * DAY);
  expect(repairs.known).toMatchObject([{ luminaire: 'l1', foundAt: 3 * DAY }]);
  expect(repairs.soundReported).toBe(0);
});

it('leaves alone an old battery that still reaches the rated duration', () => {
  const c = plant();
  plantLuminaireFault(c.luminaires[0], { kind: 'aged battery', lastsMs: 4_000_000, from: 0, to: EVER });
  const repairs = new Repairs(c, { afterMs: DAY });
  expect(repairs.unknown(2 * DAY)).toEqual([]);
  repairs.report(0, 2 * DAY);
  expect(repairs.soundReported).toBe(1);
});

it('repairs a sensor that was reported, but not one that nobody has noticed', () => {
  const c = plant();
  const [l] = c.luminaires;
  plantLuminaireFault(l, { kind: 'sensor drift', milliampsPerDay: 1, from: DAY, to: EVER });
  plantLuminaireFault(l, { kind: 'sensor short', from: 30 * DAY, to: EVER });
  const repairs = new Repairs(c, { afterMs: 7 * DAY });
  repairs.reportSensor(0, 20 * DAY);
  expect(l.faults.map(({ to }) => to)).toEqual([27 * DAY, EVER]);
  expect(repairs).toMatchObject({ known: [], soundReported: 0 });
});
