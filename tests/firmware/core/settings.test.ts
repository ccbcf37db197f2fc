import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Phase, TestKind } from '../../../firmware/contract/codes';
import { allModes } from '../../../firmware/contract/lamps';
import { Limit } from '../../../firmware/contract/limits';
import type { SettingsMessage } from '../../../firmware/contract/messages';
import { newSettings, requiredSec, type Settings, takeSettings } from '../../../firmware/core/settings';
import { enter, isDischarging, newCore, wakeBy } from '../../../firmware/core/state';
import { runs } from '../../support/depth';
import { SETTINGS } from './bench';

const rows = (n: number) => '0,200,0,3600;'.repeat(n);

/** Every value differs from the standard settings and from those of a new controller. */
const OTHER: SettingsMessage = {
  v: 1,
  revision: 9,
  briefSec: 300,
  rechargeSec: 72_000,
  briefRechargeSec: 7200,
  firstChargeSec: 90_000,
  commissionSec: 11_000,
  limited: 1,
  earlyPercent: 55,
  floorPercent: 75,
  shared: 1,
  emptySec: 900,
  fitted: 31,
  cycle: 7,
  residue: 3,
  noon: 40_000,
  sharedCycle: 9,
  sharedResidue: 4,
  hoursFrom: 3600,
  hoursSec: 10_800,
  fallbackFrom: 7200,
  fallbackSec: 14_400,
  briefDays: 31,
  fullDays: 366,
  chargeMilliamps: 640,
  lamps: '1,210,310,7200;3,220,320,10800;0,230,0,3600;',
};

/** Shared nights and own hours in them. */
const HOURS = { sharedCycle: 9, sharedResidue: 4, hoursFrom: 3600, hoursSec: 10_800 };

/** The settings after `change` to the standard message; undefined when they are refused. */
function taken(change: Partial<SettingsMessage>): Settings | undefined {
  const set = newSettings();
  return takeSettings(set, { ...SETTINGS, ...change }) ? set : undefined;
}

const rated = (sec: number) => `0,200,0,${sec};`;

describe('settings', () => {
  it('are adopted when every value is in bounds', () => {
    const set = newSettings();
    expect(takeSettings(set, SETTINGS)).toBe(true);
    expect([set.lampCount, set.ratedSec, set.revision]).toEqual([4, 3600, 1]);
    expect([...set.lamps.slice(4, 8)]).toEqual([1, 200, 300, 3600]);
    expect(takeSettings(newSettings(), { ...SETTINGS, lamps: rows(Limit.Luminaires) })).toBe(true);
  });

  it('accept every mode of the table, and no other number as a mode', () => {
    const taken = Array.from({ length: 40 }, (_, mode) => mode).filter((mode) =>
      takeSettings(newSettings(), { ...SETTINGS, lamps: `${mode},200,300,3600;` }),
    );
    expect(taken).toEqual(allModes());
  });

  const bad: [string, object][] = [
    ['a revision of zero', { revision: 0 }],
    ['a revision that is a fraction', { revision: 1.5 }],
    ['a brief test shorter than the 60 s point', { briefSec: 64 }],
    // CIE 193:2010: a brief test takes at most a quarter of rated duration.
    ['a brief test over a quarter of rated duration', { briefSec: 901 }],
    ['an hour of recharge at least', { rechargeSec: 3599 }],
    ['a brief recharge above the whole one', { briefRechargeSec: 86_401 }],
    ['an early point above the floor', { earlyPercent: 71 }],
    ['a floor above 100 %', { floorPercent: 101 }],
    ['an unknown input', { fitted: 32 }],
    ['a charging current out of range', { chargeMilliamps: 60_001 }],
    ['a charging current that is no number', { chargeMilliamps: '400' }],
    ['a residue outside its cycle', { cycle: 3, residue: 3 }],
    ['a cycle of zero', { cycle: 0 }],
    ['shared nights without a residue', { ...HOURS, sharedResidue: undefined }],
    ['a shared residue outside its cycle', { ...HOURS, sharedResidue: 9 }],
    ['shared nights without own hours', { ...HOURS, hoursFrom: undefined, hoursSec: undefined }],
    ['shared nights with own hours of no length', { ...HOURS, hoursSec: 0 }],
    ['a shared cycle that is a text', { ...HOURS, sharedCycle: '9' }],
    // These hours belong to two nights, of which the second may be a neighbour's.
    [
      'own hours that reach past the end of the night',
      { ...HOURS, noon: 43_200, hoursFrom: 36_000, hoursSec: 7201 },
    ],
    ['a noon past the end of the day', { noon: 86_400 }],
    ['a shared circuit that nothing proves empty', { shared: 1, fitted: 13 }],
    ['no lamp', { lamps: '' }],
    ['17 lamps', { lamps: rows(17) }],
    ['a lamp without current', { lamps: '0,0,0,3600;' }],
    ['a lamp of 6 A', { lamps: '0,6000,0,3600;' }],
    ['a rated duration of 3 h and a second', { lamps: '0,200,0,10801;' }],
    ['a rated duration too short to test', { lamps: '0,200,0,899;' }],
    ['a current that would wrap round in 16 bits', { lamps: '0,65736,0,3600;' }],
    ['a duration that would wrap round in 16 bits', { lamps: '0,200,0,69136;' }],
    ['a mode that would wrap round in 16 bits', { lamps: '65536,200,0,3600;' }],
    ['a mains current that would wrap round in 16 bits', { lamps: '1,200,65836,3600;' }],
    ['lamps that are a number', { lamps: 5 }],
    ['a text for a number', { briefSec: '120' }],
    ['nothing for a number', { rechargeSec: undefined }],
  ];
  it.each(bad)('with %s are refused and change nothing', (_name, change) => {
    const set = newSettings();
    takeSettings(set, SETTINGS);
    const before = JSON.stringify(set);
    expect(takeSettings(set, { ...SETTINGS, revision: 2, ...change })).toBe(false);
    expect(JSON.stringify(set)).toBe(before);
  });

  it('never exceed a limit, whatever the message holds', () => {
    const number = fc.oneof(fc.integer({ min: -5, max: 200_000 }), fc.double(), fc.constant(Number.NaN));
    const lamps = fc.array(fc.array(fc.integer({ min: 0, max: 140_000 }), { minLength: 3, maxLength: 5 }));
    const message = fc.record({
      briefSec: number,
      rechargeSec: number,
      briefRechargeSec: number,
      fitted: number,
      cycle: number,
      residue: number,
      lamps: lamps.map((all) => all.map((row) => `${row.join(',')};`).join('')),
    });
    fc.assert(
      fc.property(message, (m) => {
        const set = newSettings();
        if (!takeSettings(set, { ...SETTINGS, ...m })) return;
        expect(set.ratedSec).toBeLessThanOrEqual(Limit.RatedSecMax);
        expect(set.briefSec).toBeGreaterThanOrEqual(Limit.BriefSecMin);
        expect(set.briefSec * Limit.BriefShareOfRated).toBeLessThanOrEqual(set.ratedSec);
        expect(set.rechargeSec).toBeGreaterThanOrEqual(3600);
      }),
      { numRuns: runs(300) },
    );
  });

  it('are kept exactly as sent', () => {
    const set = newSettings();
    expect(takeSettings(set, OTHER)).toBe(true);
    const { v, lamps, ...numbers } = OTHER;
    expect(set).toMatchObject(numbers);
    expect([v, set.lampCount, set.ratedSec, set.briefCapSec]).toEqual([1, 3, 10_800, 900]);
    expect([...set.lamps.subarray(0, 16)]).toEqual([
      1, 210, 310, 7200, 3, 220, 320, 10_800, 0, 230, 0, 3600, 0, 0, 0, 0,
    ]);
    expect(lamps.split(';')).toHaveLength(4);
  });

  it('without commissioning, limits, shared nights or charging current clear the old ones', () => {
    const set = newSettings();
    takeSettings(set, OTHER);
    expect(takeSettings(set, SETTINGS)).toBe(true);
    const { sharedCycle, sharedResidue, hoursFrom, hoursSec } = set;
    expect([sharedCycle, sharedResidue, hoursFrom, hoursSec]).toEqual([0, 0, 0, 0]);
    const { firstChargeSec, commissionSec, limited, chargeMilliamps } = set;
    expect({ firstChargeSec, commissionSec, limited, chargeMilliamps }).toEqual({
      firstChargeSec: SETTINGS.rechargeSec,
      commissionSec: 0,
      limited: 0,
      chargeMilliamps: 0,
    });
    expect([set.lampCount, set.ratedSec, set.briefCapSec]).toEqual([4, 3600, 900]);
  });

  it('of a controller that was never commissioned open nothing', () => {
    expect(newSettings()).toMatchObject({ revision: 0, lampCount: 0, briefSec: 0, commissionSec: 0 });
    expect(newSettings()).toMatchObject({ rechargeSec: 86_400, earlyPercent: 50, floorPercent: 70 });
  });

  const bounds: [keyof SettingsMessage, number, number, Partial<SettingsMessage>][] = [
    ['revision', 1, 4_294_967_295, {}],
    ['briefSec', Limit.BriefSecMin, 900, {}],
    // A quarter of rated duration, at its longest and at its shortest.
    ['briefSec', Limit.BriefSecMin, 2700, { lamps: rated(Limit.RatedSecMax) }],
    ['briefSec', Limit.BriefSecMin, 225, { lamps: rated(Limit.RatedSecMin) }],
    // The shortest of several lamps counts, wherever it is in the list.
    ['briefSec', Limit.BriefSecMin, 300, { lamps: rated(3600) + rated(1203) + rated(10_800) }],
    ['rechargeSec', 3600, 604_800, {}],
    ['briefRechargeSec', 0, 86_400, {}],
    ['briefRechargeSec', 0, 7200, { rechargeSec: 7200 }],
    ['earlyPercent', 10, 70, {}],
    ['earlyPercent', 10, 100, { floorPercent: 100 }],
    ['floorPercent', 50, 100, {}],
    ['shared', 0, 1, { fitted: 2 }],
    ['limited', 0, 1, {}],
    ['emptySec', 0, 86_400, {}],
    ['fitted', 0, 31, {}],
    ['chargeMilliamps', 0, 60_000, {}],
    ['cycle', 1, 400, {}],
    ['residue', 0, 0, {}],
    ['residue', 0, 399, { cycle: 400 }],
    ['sharedCycle', 5, 400, HOURS],
    ['sharedResidue', 0, 8, HOURS],
    ['sharedResidue', 0, 399, { ...HOURS, sharedCycle: 400 }],
    ['hoursFrom', 0, 75_600, { ...HOURS, noon: 0 }],
    ['hoursSec', 1, 86_400, { ...HOURS, noon: 3600 }],
    ['hoursSec', 1, 43_200, { ...HOURS, noon: 43_200, hoursFrom: 0 }],
    ['noon', 0, 86_399, {}],
    ['fallbackFrom', 0, 86_399, {}],
    ['fallbackSec', 0, 86_400, {}],
    ['briefDays', 1, 400, {}],
    ['fullDays', 1, 1200, {}],
  ];
  it.each(bounds)('take %s from %i to %i and nothing beside it', (name, low, high, change) => {
    for (const good of [low, high]) expect(taken({ ...change, [name]: good })?.[name as 'noon']).toBe(good);
    for (const bad of [low - 1, high + 1, low + 0.5, `${low}`, [low], true, null, Number.NaN]) {
      // Absence and null mean the same for optional values.
      const isMissing = !bad && ['limited', 'chargeMilliamps', 'sharedCycle'].includes(name);
      if (!isMissing) expect(taken({ ...change, [name]: bad }), `${name} ${bad}`).toBeUndefined();
    }
  });

  it('accept a first charge of an hour to a week, or none', () => {
    const first = (firstChargeSec: number) => taken({ firstChargeSec })?.firstChargeSec;
    expect([0, 3600, 604_800].map(first)).toEqual([SETTINGS.rechargeSec, 3600, 604_800]);
    expect([1, 3599, 604_801, -1, 3600.5].map(first)).toEqual(new Array(5).fill(undefined));
  });

  it('accept a commissioning test from the longest rated duration to the longest opening, or none', () => {
    const lamps = rated(3600) + rated(5400) + rated(1800);
    const length = (commissionSec: number) => taken({ lamps, commissionSec })?.commissionSec;
    const most = Limit.OpenCapSec - Limit.OpenGraceSec;
    expect([0, 5400, most].map(length)).toEqual([0, 5400, most]);
    expect([1, 5399, most + 1, -1, 5400.5].map(length)).toEqual(new Array(5).fill(undefined));
  });

  it('are refused when both the first charge and the commissioning test are invalid', () => {
    expect(taken({ firstChargeSec: 3600, commissionSec: 3599 })).toBeUndefined();
    expect(taken({ firstChargeSec: 3599, commissionSec: 3600 })).toBeUndefined();
    expect(taken({ firstChargeSec: 3600, commissionSec: 3600 })).toMatchObject({ commissionSec: 3600 });
  });

  it('of a shared circuit need an input that proves the area empty; others do not', () => {
    for (const fitted of [0, 1, 4, 8, 16, 29]) {
      expect(taken({ shared: 1, fitted })).toBeUndefined();
      expect(taken({ shared: 0, fitted })).toMatchObject({ fitted });
    }
    for (const fitted of [2, 3, 31])
      expect(taken({ shared: 1, fitted })).toMatchObject({ shared: 1, fitted });
  });

  it.each([[undefined], [null], [7], [['0,200,0,3600;']], [{ length: 0 }]])(
    'are refused with lamps of %j, which are not text',
    (lamps) => {
      expect(taken({ lamps: lamps as unknown as string })).toBeUndefined();
    },
  );

  it('are refused with a lamp row that is cut off or has a number too many', () => {
    for (const bad of ['', '0,200,0,3600', '0,200,0;', '0,200,0,3600,1;', `${rated(3600)}x`, ';'])
      expect(taken({ lamps: bad }), bad).toBeUndefined();
    expect(taken({ lamps: rated(3600).repeat(Limit.Luminaires) })).toMatchObject({ lampCount: 16 });
    expect(taken({ lamps: rated(3600).repeat(Limit.Luminaires + 1) })).toBeUndefined();
  });
});

describe('a lamp', () => {
  const good = ['0,1,0,3600;', '3,5000,5000,3600;', rated(Limit.RatedSecMin), rated(Limit.RatedSecMax)];
  const bad = [
    `${allModes().length},1,0,3600;`,
    '0,0,0,3600;',
    '0,5001,0,3600;',
    '0,1,5001,3600;',
    rated(899),
    rated(10_801),
  ];

  it('is accepted with the least and the most that each of its columns may hold', () => {
    for (const row of good) expect(taken({ lamps: row }), row).toMatchObject({ lampCount: 1 });
  });

  it.each(bad)('with the row %s is refused, alone, first or last', (row) => {
    const other = rated(3600);
    for (const lamps of [row, row + other, other + row, other + row + other])
      expect(taken({ lamps }), lamps).toBeUndefined();
  });

  it('with the longest rated duration counts wherever it is in the list', () => {
    for (const order of [
      [3600, 7200, 1800],
      [7200, 1800, 3600],
      [1800, 3600, 7200],
    ]) {
      const set = taken({ lamps: order.map(rated).join('') });
      expect([set?.ratedSec, set?.briefCapSec]).toEqual([7200, 450]);
    }
    // A quarter is rounded down to whole seconds.
    expect(taken({ lamps: rated(3603) })?.briefCapSec).toBe(900);
  });
});

describe('the discharge that a lamp must survive', () => {
  const set = newSettings();
  takeSettings(set, OTHER);
  it.each([
    [TestKind.Brief, 3600, 300],
    [TestKind.Full, 3600, 3600],
    [TestKind.Full, 10_800, 10_800],
    [TestKind.Limited, 3600, 2400],
    // Two thirds, rounded up: never less.
    [TestKind.Limited, 3601, 2401],
    [TestKind.Commissioning, 10_800, 11_000],
    [TestKind.Commissioning, 5400, 5500],
    [TestKind.Commissioning, 3600, 3667],
  ])('in a test of kind %i with %i s of rated duration is %i s', (kind, ratedSec, sec) => {
    expect(requiredSec(set, kind, ratedSec)).toBe(sec);
  });
});

describe('a new controller', () => {
  it('has no slot, no supply seen, no fallback night, and nothing measured', () => {
    const s = newCore(3);
    expect([s.boot, s.slot, s.suppliedAt, s.fallbackNight, s.openMs]).toEqual([3, -1, -1, -1, -1]);
    expect([[...s.raw], [...s.level], s.out, s.outCount, s.dirty]).toEqual([
      [-1, -1, -1],
      [-1, -1, -1],
      [],
      0,
      1,
    ]);
    expect([s.chargeCurve.length, s.curve.length]).toEqual([37, 320]);
  });

  it('is woken at the earliest instant asked for', () => {
    const s = newCore(1);
    s.wakeAt = 500;
    wakeBy(s, 501);
    expect(s.wakeAt).toBe(500);
    wakeBy(s, 499);
    expect(s.wakeAt).toBe(499);
  });

  it('reports its state when it enters another phase, and since when', () => {
    const s = newCore(1);
    s.dirty = 0;
    enter(s, Phase.Charged, 4000);
    expect([s.phase, s.phaseAt, s.dirty]).toEqual([Phase.Charged, 4000, 1]);
  });

  it('discharges in the phases of a brief and of a full test, and in no other', () => {
    const s = newCore(1);
    const all = Array.from({ length: 12 }, (_, phase) => phase as Phase);
    const open = all.filter((phase) => {
      enter(s, phase, 0);
      return isDischarging(s);
    });
    expect(open).toEqual([Phase.Brief, Phase.Full]);
  });
});
