// What other systems are told of a building: never better than what the log book says.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { STATUS_SCHEMAS } from '../../../host/integrators/schema';
import { buildingStatus, circuitMessages } from '../../../host/integrators/status';
import { HOUSE } from '../house/site';
import { DAY, NIGHT, newTestedHouse, PASS } from './house';

const DEAD = [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 0];
const SHORT = [2, Reason.EndedEarly, 2460, 300, 300, 0, 2];
const VOID = [3, Reason.Outage, 0, 0, 0, 0, 0];

type Tested = Awaited<ReturnType<typeof newTestedHouse>>;

const ofA = ({ house }: Tested, now: number) => circuitMessages(HOUSE, house, 'a', now);

describe('a luminaire', () => {
  it('is told with its verdict, the reason in words and as a code, and when it last passed', async () => {
    const tested = await newTestedHouse();
    await tested.result('a', TestKind.Full, NIGHT, PASS, PASS);
    await tested.result('a', TestKind.Brief, NIGHT + DAY, PASS, DEAD);
    tested.heard('a', NIGHT + DAY);
    const { luminaires, circuit, openDefects } = ofA(tested, NIGHT + DAY + 60);
    expect(luminaires[0]).toEqual({
      ...{ v: 1, luminaire: 'A-01', circuit: 'a', place: 'corridor', area: { id: 'hall', name: 'Hall' } },
      ...{ mode: 'non-maintained', ratedSeconds: 3600, verdict: 'pass', reason: null, since: null },
      judgedAt: '2026-02-03T03:40:00+01:00',
      lastPassAt: {
        ...{ brief: '2026-02-03T03:40:00+01:00', full: '2026-02-02T03:40:00+01:00' },
        ...{ limited: null, commissioning: null },
      },
      defects: [],
    });
    const words = 'The lamp was not lit 5 s after the supply was cut.';
    expect(luminaires[1]).toMatchObject({
      ...{ verdict: 'fail', reason: { code: Reason.NotLitAtFiveSeconds, words } },
      since: '2026-02-03T03:40:00+01:00',
      lastPassAt: { brief: null, full: '2026-02-02T03:40:00+01:00' },
      defects: [{ state: 'open', code: Reason.NotLitAtFiveSeconds, words, fails: 1, dueDate: null }],
    });
    expect(circuit).toMatchObject({
      ...{ contact: 'reporting', state: 'charged', verdicts: { pass: 1, fail: 1, notProven: 0 } },
      lastTestAt: { brief: '2026-02-03T03:40:00+01:00', full: '2026-02-02T03:40:00+01:00' },
    });
    expect(openDefects).toBe(1);
  });

  it('stays failed through a shorter test that passes and through a repair, until the retest has passed', async () => {
    const tested = await newTestedHouse();
    tested.heard('a', NIGHT);
    const verdict = (day: number) => ofA(tested, NIGHT + day * DAY).luminaires[0].verdict;
    await tested.result('a', TestKind.Full, NIGHT, SHORT, PASS);
    await tested.result('a', TestKind.Brief, NIGHT + DAY, PASS, PASS);
    expect(verdict(1)).toBe('fail');
    await tested.entering.repaired('a', {
      luminaire: 'A-01',
      part: 'battery',
      who: 'A',
      at: NIGHT + 2 * DAY,
    });
    expect(verdict(2)).toBe('fail');
    expect(ofA(tested, NIGHT + 2 * DAY).luminaires[0].defects).toMatchObject([{ state: 'repaired' }]);
    await tested.result('a', TestKind.Full, NIGHT + 4 * DAY, PASS, PASS);
    expect(verdict(4)).toBe('pass');
  });

  it('is not proven before its first test, after a long time without one, and while tests have no verdict', async () => {
    const tested = await newTestedHouse();
    const told = (now: number) => {
      tested.heard('a', now);
      return ofA(tested, now).luminaires[0];
    };
    expect(told(NIGHT)).toMatchObject({ verdict: 'not proven', since: null, judgedAt: null });
    await tested.result('a', TestKind.Full, NIGHT, PASS, PASS);
    expect(told(NIGHT + DAY).verdict).toBe('pass');
    await tested.result('a', TestKind.Brief, NIGHT + 2 * DAY, VOID, PASS);
    await tested.result('a', TestKind.Brief, NIGHT + 3 * DAY, VOID, PASS);
    expect(told(NIGHT + 4 * DAY)).toMatchObject({
      ...{ verdict: 'not proven', since: '2026-02-02T03:40:00+01:00' },
      reason: { code: Reason.Outage },
    });
    expect(told(NIGHT + 80 * DAY).verdict).toBe('not proven');
  });

  it('is not proven after a change without a defect, nor by function tests alone', async () => {
    const tested = await newTestedHouse();
    tested.heard('a', NIGHT);
    await tested.result('a', TestKind.Brief, NIGHT, PASS, PASS);
    const told = (day: number) => ofA(tested, NIGHT + day * DAY).luminaires[0];
    expect(told(0)).toMatchObject({
      ...{ verdict: 'not proven', defects: [] },
      reason: { words: 'No duration test has shown yet how long it lasts.' },
    });
    await tested.result('a', TestKind.Full, NIGHT + DAY, PASS, PASS);
    expect(told(1).verdict).toBe('pass');
    const repair = { luminaire: 'A-01', part: 'whole luminaire', who: 'Ida', at: NIGHT + 2 * DAY } as const;
    await tested.entering.repaired('a', repair);
    expect(told(2)).toMatchObject({
      verdict: 'not proven',
      reason: { words: expect.stringContaining('Ida repaired A-01 (whole luminaire changed)') },
    });
    const { circuit } = ofA(tested, NIGHT + 2 * DAY);
    expect(circuit.verdicts).toEqual({ pass: 1, fail: 0, notProven: 1 });
    await tested.result('a', TestKind.Full, NIGHT + 4 * DAY, PASS, PASS);
    expect(told(4).verdict).toBe('pass');
  });

  it('is never told to be in order while the book says otherwise, whatever was recorded', async () => {
    const row = fc.constantFrom(PASS, PASS, PASS, PASS, DEAD, SHORT, VOID, [0, 0, 0, 0, 0, 0, 0]);
    const kind = fc.constantFrom(
      ...[TestKind.Brief, TestKind.Full, TestKind.Limited, TestKind.Commissioning],
    );
    const days = fc.oneof(fc.integer({ min: 0, max: 20 }), fc.integer({ min: 0, max: 90 }));
    const step = fc.record({ kind, rows: fc.tuple(row, row), days });
    // Half of them begin in order: at random nearly everything lacks a proof.
    const sound = fc.record({
      kind: fc.constant(TestKind.Full),
      rows: fc.constant([PASS, PASS] as const),
      days,
    });
    const more = fc.array(step, { maxLength: 5 });
    const history = fc.oneof(
      more,
      fc.tuple(sound, more).map(([first, rest]) => [first, ...rest]),
    );
    const seen = new Set<string>();
    await fc.assert(
      fc.asyncProperty(history, fc.boolean(), async (steps, isHeard) => {
        const tested = await newTestedHouse();
        let now = NIGHT;
        for (const { kind: type, rows, days } of steps) {
          await tested.result('a', type, now, ...rows);
          now += days * DAY;
        }
        if (isHeard) tested.heard('a', now);
        const { luminaires, circuit } = ofA(tested, now);
        const { open } = tested.house.view.defects(now, { skip: 0, limit: 0 });
        for (const one of luminaires) {
          const said = open.filter((d) => d.circuit === 'a' && ['', one.luminaire].includes(d.luminaire));
          const failed = said.some(({ state, luminaire }) => state !== 'not proven' && luminaire !== '');
          if (failed) expect(one.verdict).toBe('fail');
          else if (said.length > 0) expect(one.verdict).not.toBe('pass');
          const newest = steps.map(({ rows }) => rows[one.luminaire === 'A-01' ? 0 : 1][0]);
          if (!newest.includes(Verdict.Pass)) expect(one.verdict).not.toBe('pass');
          expect(STATUS_SCHEMAS.luminaire.parse(one)).toEqual(one);
          seen.add(one.verdict);
        }
        expect(STATUS_SCHEMAS.circuit.parse(circuit)).toEqual(circuit);
        await tested.logbook.close();
      }),
      { numRuns: 50 },
    );
    expect([...seen].sort()).toEqual(['fail', 'not proven', 'pass']);
  });
});

describe('a circuit', () => {
  it('says nothing that changes while nothing happens', async () => {
    const tested = await newTestedHouse();
    await tested.result('a', TestKind.Full, NIGHT, PASS, PASS);
    const at = (now: number) => JSON.stringify(ofA(tested, now));
    tested.heard('a', NIGHT + DAY);
    const reporting = at(NIGHT + DAY);
    tested.heard('a', NIGHT + DAY + 60);
    expect(at(NIGHT + DAY + 60)).toBe(reporting);
    tested.clock.up = 3600;
    const silent = at(NIGHT + DAY + 3660);
    expect(JSON.parse(silent)).toMatchObject({
      circuit: {
        ...{ contact: 'silent', silentSince: '2026-02-03T03:41:00+01:00' },
        words: 'Nothing heard since Tue 3 Feb 2026, 03:41.',
      },
    });
    tested.clock.up = 7200;
    expect(at(NIGHT + DAY + 7260)).toBe(silent);
  });

  it('gives an unknown supply as null, and local times with their offset in summer too', async () => {
    const tested = await newTestedHouse();
    expect(ofA(tested, NIGHT).circuit).toMatchObject({
      ...{ state: 'unknown', contact: 'never heard', supply: { beforeRelay: null, behindRelay: null } },
      relayOpen: null,
    });
    await tested.result('a', TestKind.Brief, Date.UTC(2026, 6, 1, 0, 30) / 1000, PASS, PASS);
    expect(ofA(tested, NIGHT).circuit.lastTestAt.brief).toBe('2026-07-01T02:30:00+02:00');
  });
});

it('counts the building from what is told of its circuits', async () => {
  const tested = await newTestedHouse();
  await tested.result('a', TestKind.Full, NIGHT, PASS, DEAD);
  tested.heard('a', NIGHT + DAY, { phase: 5, type: 1 });
  const all = ['a', 'b'].map((id) => circuitMessages(HOUSE, tested.house, id, NIGHT + DAY));
  const building = buildingStatus(HOUSE, false, all);
  expect(STATUS_SCHEMAS.building.parse(building)).toMatchObject({
    ...{ verdict: 'fail', luminaires: { pass: 1, fail: 1, notProven: 1 }, openDefects: 1, testing: 1 },
    circuits: { reporting: 1, late: 0, silent: 0, neverHeard: 1 },
  });
  expect(buildingStatus(HOUSE, false, all.slice(1)).verdict).toBe('not proven');
});
