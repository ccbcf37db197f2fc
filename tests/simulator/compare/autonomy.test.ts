// When a luminaire is short of its rated duration, checked on small cases calculated by hand.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lifeOf } from '../../../simulator/compare/autonomy';
import { joined } from '../../../simulator/compare/measures';
import type { AilmentFault } from '../../../simulator/people/repairs';
import {
  isLitOnBattery,
  type LuminaireSpec,
  newLuminaire,
  plantLuminaireFault,
  setSupplied,
} from '../../../simulator/plant/luminaire';
import { runs } from '../../support/depth';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;
const YEAR = 365.25 * DAY;

/** Rated for 1 h, with a battery that lasts an hour and a half. */
function lamp(more: Partial<LuminaireSpec> = {}): LuminaireSpec {
  return {
    ...{ id: 'l', mode: 0, ratedSec: 3600, batteryMilliamps: 200, mainsMilliamps: 0 },
    ...{ chemistry: 'LiFePO4', margin: 1.5 },
    ...more,
  };
}

/** Starts and ends as multiples of a unit. */
function spells(life: ReturnType<typeof lifeOf>, unit: number): number[][] {
  return life.short.map(({ from, to }) => [from / unit, to / unit]);
}

describe('a luminaire is short of its rated duration', () => {
  it('never, when it is sound and always supplied', () => {
    expect(lifeOf(lamp(), [], [], YEAR)).toEqual({ short: [], flat: 0, spent: 0 });
  });

  it('not by a discharge that leaves the rated duration in its battery', () => {
    // 29 of the 90 minutes are used at the end: 61 are left.
    const life = lifeOf(lamp(), [], [{ from: DAY, to: DAY + 29 * MINUTE }], 3 * DAY);
    expect(life.short).toEqual([]);
  });

  it('from half an hour into a full test until two thirds of the charge are back', () => {
    const [[from, to]] = spells(lifeOf(lamp(), [], [{ from: 0, to: HOUR }], 3 * DAY), HOUR);
    // 90 minutes less 30 leave the 60 required. After the test one third is left, and another third at 99 %
    // of C/20 takes (1/3) * 20 / 0.99 = 6.734 h.
    expect(from).toBeCloseTo(0.5, 3);
    expect(to).toBeCloseTo(1 + 6.734, 1);
  });

  it('until the end, with its battery run flat, when the supply stays away', () => {
    const life = lifeOf(lamp(), [], [{ from: DAY, to: 3 * DAY }], 3 * DAY);
    expect(spells(life, HOUR)).toEqual([[expect.closeTo(24.5, 2), 72]]);
    expect(life).toMatchObject({ flat: 1, short: [{ isBroken: false }] });
  });

  it('while its lamp is dead, and the reason is that it is broken', () => {
    const dead: AilmentFault = { kind: 'dead lamp', from: 10 * DAY, to: 25 * DAY };
    expect(lifeOf(lamp(), [dead], [], 40 * DAY)).toEqual({
      short: [{ from: 10 * DAY, to: 25 * DAY, isBroken: true }],
      ...{ flat: 0, spent: 0 },
    });
  });

  it('some time after its charger has died: the rest was in the battery', () => {
    const dead: AilmentFault = { kind: 'charger dead', from: 0, to: Number.POSITIVE_INFINITY };
    // 2.5 % a month at 20 degrees, and 2^0.5 times as fast at 25: two thirds are left after ln(2/3) /
    // ln(0.975) / 1.4142 = 11.33 months of 30 days. By then age has taken some of it too.
    const [[from, to]] = spells(lifeOf(lamp(), [dead], [], 2 * YEAR), 30 * DAY);
    expect(from).toBeGreaterThan(9.5);
    expect(from).toBeLessThan(11.33);
    expect(to).toBeCloseTo((2 * YEAR) / (30 * DAY), 3);
  });

  it('from the day on which age has taken the margin, and broken from then on', () => {
    // NiMH loses 5 % a year at 25 degrees; with a Peukert exponent of 1.08 its hours scale with share^1.08,
    // so 1/1.5 are left after ln(1.5) / (1.08 * -ln(0.95)) = 7.319 years.
    const life = lifeOf(lamp({ chemistry: 'NiMH' }), [], [], 10 * YEAR);
    expect(spells(life, YEAR)).toEqual([[expect.closeTo(7.319, 2), 10]]);
    expect(life.short[0].isBroken).toBe(true);
  });

  it('no longer, once a battery that was too weak has been replaced and is charged', () => {
    const aged: AilmentFault = { kind: 'aged battery', lastsMs: 20 * MINUTE, from: DAY, to: 9 * DAY };
    expect(spells(lifeOf(lamp(), [aged], [], 20 * DAY), DAY)).toEqual([[1, 9]]);
  });

  it('for two reasons in turn: broken first, then still charging after the repair', () => {
    const dead: AilmentFault = { kind: 'charger dead', from: 0, to: 2 * DAY };
    const life = lifeOf(lamp(), [dead], [{ from: DAY, to: DAY + HOUR }], 5 * DAY);
    expect(life.short.map(({ isBroken }) => isBroken)).toEqual([true, false]);
    expect(life.short[0].to).toBe(2 * DAY);
    expect((life.short[1].to - 2 * DAY) / HOUR).toBeCloseTo(6.8, 0);
  });
});

/** Whether the luminaire, left on battery from `at`, is still lit when its rated duration is over. */
function burnsFrom(
  at: number,
  spec: LuminaireSpec,
  ailments: AilmentFault[],
  offs: { from: number; to: number }[],
) {
  const l = newLuminaire(spec);
  // Faults still to come are unknown at that moment.
  for (const fault of ailments)
    if (fault.from <= at) plantLuminaireFault(l, { ...fault, to: fault.to > at ? EVER : fault.to });
  const edges = offs.flatMap(({ from, to }) => [
    { at: from, supplied: false },
    { at: to, supplied: true },
  ]);
  for (const edge of edges) if (edge.at <= at) setSupplied(l, edge.supplied, edge.at);
  setSupplied(l, false, at);
  return isLitOnBattery(l, at + spec.ratedSec * 1000 - 1);
}

const EVER = Number.POSITIVE_INFINITY;

it('is short exactly when it would go dark too early if the mains failed at that moment', () => {
  const days = 60;
  const instant = fc.integer({ min: 0, max: days * 24 * 60 - 2 });
  const spell = fc.tuple(instant, fc.integer({ min: 1, max: 3000 })).map(([from, minutes]) => ({
    ...{ from: from * MINUTE, to: (from + minutes) * MINUTE },
  }));
  const ailment = fc.tuple(
    spell,
    fc.constantFrom(
      { kind: 'dead lamp' as const },
      { kind: 'charger dead' as const },
      {
        ...{ kind: 'aged battery' as const, lastsMs: 40 * MINUTE },
      },
    ),
  );
  const chemistry = fc.constantFrom(
    'NiCd' as const,
    'NiMH' as const,
    'LiFePO4' as const,
    'lead-acid' as const,
  );
  const all = fc.record({
    ailments: fc.array(
      ailment.map(([span, fault]) => ({ ...span, ...fault })),
      { maxLength: 2 },
    ),
    offs: fc.array(spell, { maxLength: 4 }).map(joined),
    asked: fc.array(instant, { minLength: 20, maxLength: 20 }),
    chemistry,
  });
  fc.assert(
    fc.property(all, ({ ailments, offs, asked, chemistry: own }) => {
      const spec = lamp({ chemistry: own });
      const { short } = lifeOf(spec, ailments, offs, days * DAY);
      for (const minute of asked) {
        const at = minute * MINUTE + 30_000;
        // Right at an edge, to the second, either answer is right.
        if (short.some(({ from, to }) => Math.abs(at - from) < 2000 || Math.abs(at - to) < 2000)) continue;
        const isShort = short.some(({ from, to }) => from <= at && at < to);
        expect(isShort).toBe(!burnsFrom(at, spec, ailments, offs));
      }
    }),
    { numRuns: runs(300) },
  );
});
