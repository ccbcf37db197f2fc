// Defects as people read them: words, ages in civil days, what comes next, and circuits that cannot be tested.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../../../firmware/contract/codes';
import type { DefectView } from '../../../../host/api/defects';
import { createDefects } from '../../../../host/house/defects/defects';
import { createDesired } from '../../../../host/house/desired/desired';
import { createHistory } from '../../../../host/house/history/history';
import { createNotes } from '../../../../host/house/notes/entered';
import { listNote } from '../../../../host/house/notes/listing';
import { writeNote } from '../../../../host/house/notes/notes';
import { retestAfter } from '../../../../host/house/notes/repairs';
import { closedDefects, type DefectSources, inOrder, openDefects } from '../../../../host/house/view/defects';
import { openLogbook } from '../../../../host/logbook/engines/open';
import { hostWords } from '../../../../host/page/words/hostWords';
import { standing } from '../../../../host/page/words/tone';
import type { Plan } from '../../../../host/planner/plan/plan';
import { readRecord } from '../../../../host/records/schema';
import { civilDays } from '../../../../host/site/civil';
import { kindName, testKindWord } from '../../../../host/words/codes';
import { speak } from '../../../support/tongues';
import { KEYS, newJournal, resultFields } from '../../logbook/records';
import { inFileOrder, newMemory } from '../bench';
import { HOUSE } from '../site';

const DAY = 86_400;
const utc = (...parts: [number, number, number, number, number]) => Date.UTC(...parts) / 1000;
/** Sat 28 Mar 2026, 23:30 in Berlin; the clocks go forward in the night after. */
const BEFORE = utc(2026, 2, 28, 22, 30);
const PASS = [1, 0, 3600, 300, 300, 290, 2];
const FAIL = [2, Reason.EndedEarly, 2460, 300, 300, 0, 2];

function newSources() {
  const listed = inFileOrder(HOUSE);
  const notes = createNotes(HOUSE, KEYS);
  const from: DefectSources = {
    ...{ site: HOUSE, defects: createDefects(HOUSE, KEYS, listed), history: createHistory(HOUSE, listed) },
    notes,
  };
  const journal = newJournal('demo/a');
  let entry = 0;
  const take = (kind: string, fields: object, at: number) => {
    entry++;
    const record = readRecord(journal.next(kind, fields))!;
    from.history.take('a', record, { entry, at });
    const mark = { entry, at, address: 'demo/a', journal: 'j', seq: entry };
    if (record.kind === 'result') from.defects.take('a', record, mark);
  };
  const result = (type: TestKind, started: number, ...lamps: number[][]) =>
    take('result', resultFields(lamps, { type, started }), started);
  return { from, notes, take, result };
}

describe('a defect of a luminaire', () => {
  it('tells its place, cause, evidence and age, and stands beside what was last proven', () => {
    const { from, result } = newSources();
    result(TestKind.Brief, BEFORE - 30 * DAY, PASS, PASS);
    result(TestKind.Full, BEFORE, FAIL, PASS);
    result(TestKind.Brief, BEFORE + 2 * DAY, [3, Reason.Outage, 0, 0, 0, 0, 0], PASS);
    expect(openDefects(from, BEFORE + 3 * DAY)).toEqual([
      {
        ...{ circuit: 'a', luminaire: 'A-01', place: 'corridor', state: 'open' },
        cause: 'The lamp went out before its rated duration was up.',
        evidence:
          'Duration test of Sat 28 Mar 2026, 23:30: lit for 41 min of 60 min rated (log book entry 2).',
        ...{
          since: BEFORE,
          days: 4,
          entry: 2,
          fails: 1,
          reopened: 0,
          care: null,
          overdueDays: 0,
          repairs: [],
        },
        ...{ needs: 'full', retestAt: 0, retestNow: null, closed: null },
        next: 'Repair it, then report the repair; only a pass in a duration test closes it.',
        attempt: expect.objectContaining({ verdict: 'void', at: BEFORE + 2 * DAY }),
        proven: expect.objectContaining({ verdict: 'fail', at: BEFORE }),
      },
    ]);
  });

  it('never says that a lamp was lit for longer than it was', () => {
    const { from, result } = newSources();
    result(TestKind.Full, BEFORE, [Verdict.Fail, Reason.EndedEarly, 2399, 0, 0, 0, 0], PASS);
    expect(openDefects(from, BEFORE + DAY)[0].evidence).toContain('lit for 39 min of 60 min rated');
  });

  it('says after a repair when its retest is planned, and if a test since then had no verdict', async () => {
    const logbook = await openLogbook(':memory:');
    const { from, result } = newSources();
    result(TestKind.Brief, BEFORE, [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 0], PASS);
    const changed = kindName(testKindWord(retestAfter(HOUSE.circuits[0], [false], ['A-01'], 'lamp')));
    expect(openDefects(from, BEFORE + DAY)[0].next).toBe(
      `Repair it, then report the repair; only a pass closes it: in a ${changed} if battery, lamp, driver, charger or the whole luminaire was changed, else in a function test.`,
    );
    const fields = { luminaires: 'A-01', what: '', retest: TestKind.Brief };
    const repair = { address: 'demo/a', kind: 'repaired', who: 'Anna', at: BEFORE + DAY, fields } as const;
    from.defects.takeNote(await writeNote(logbook, KEYS, repair));
    const next = (plan?: Plan) => openDefects({ ...from, plan }, BEFORE + 2 * DAY)[0].next;
    expect(next()).toBe('Repaired. Retest, a function test: not planned yet.');
    result(TestKind.Brief, BEFORE + 36 * 3600, [3, Reason.SensorSilent, 0, 0, 0, 0, 0], PASS);
    const plan = createDesired({ site: HOUSE, memory: newMemory() });
    plan.refresh(BEFORE + 2 * DAY);
    expect(next(plan.plan()!.plan)).toMatch(
      /^Repaired\. The function test of Mon 30 Mar 2026, 12:30 ended without a verdict: The current sensor does not answer on its bus\. Retest, a function test: planned for \w{3} \d+ \w{3} 2026, \d\d:\d\d\.$/,
    );
    await logbook.close();
  });

  it('says that a repair did not help once its retest has failed', async () => {
    const logbook = await openLogbook(':memory:');
    const { from, result } = newSources();
    result(TestKind.Full, BEFORE, FAIL, PASS);
    const fields = { luminaires: 'A-01', what: 'battery changed', retest: TestKind.Full };
    const repair = { address: 'demo/a', kind: 'repaired', who: 'Anna', at: BEFORE + DAY, fields } as const;
    from.defects.takeNote(await writeNote(logbook, KEYS, repair));
    result(TestKind.Full, BEFORE + 7 * DAY, FAIL, PASS);
    const [one] = openDefects(from, BEFORE + 8 * DAY);
    expect(one.cause).toBe(
      'The lamp went out before its rated duration was up. Repaired on Mon 30 Mar 2026 (battery changed); the ' +
        'duration test of Sun 5 Apr 2026, 00:30 failed again: the repair did not help.',
    );
    for (const tongue of ['de', 'fr', 'it'] as const) {
      speak(tongue);
      for (const words of [one.cause, one.next]) expect(hostWords(words)).not.toBe(words);
    }
    speak('en');
    expect(one.next).toMatch(
      /^Find out why the repair did not help; repair it again, then report that; only a /,
    );
    await logbook.close();
  });

  it('has an age in days of the calendar, whatever the clocks did', () => {
    const days = (from: number, to: number) => civilDays('Europe/Berlin', from, to);
    // Half an hour into the next day, then a day of 23 hours and one of 25.
    expect(days(BEFORE, BEFORE + 1800)).toBe(1);
    expect(days(BEFORE, BEFORE + 23 * 3600 + 1799)).toBe(1);
    expect(days(BEFORE, BEFORE + 23 * 3600 + 1800)).toBe(2);
    const autumn = utc(2026, 9, 24, 22, 0);
    expect(days(autumn, autumn + 25 * 3600 - 1)).toBe(0);
    expect(days(autumn, autumn + 25 * 3600)).toBe(1);
  });

  it('keeps the age it had when it was closed, and comes after older ones while it is open', () => {
    const { from, result } = newSources();
    result(TestKind.Full, BEFORE, PASS, FAIL);
    result(TestKind.Full, BEFORE + 9 * DAY, FAIL, FAIL);
    const now = BEFORE + 40 * DAY;
    expect(openDefects(from, now).map((one) => [one.luminaire, one.fails])).toEqual([
      ['A-02', 2],
      ['A-01', 1],
    ]);
    result(TestKind.Full, BEFORE + 20 * DAY, PASS, PASS);
    expect(openDefects(from, now)).toEqual([]);
    expect(closedDefects(from, now).find((one) => one.luminaire === 'A-02')).toMatchObject({
      ...{ state: 'closed', days: 21, next: '', closed: { at: BEFORE + 20 * DAY, kind: 'full' } },
    });
  });
});

it('has an open defect exactly while the state of its luminaire is a failure, whatever tests follow', () => {
  const rows = [
    PASS,
    FAIL,
    [2, Reason.LitOnMains, 90, 300, 300, 290, 300],
    [3, Reason.Outage, 0, 0, 0, 0, 0],
  ];
  const kinds = [TestKind.Brief, TestKind.Limited, TestKind.Full, TestKind.Commissioning];
  const step = fc.tuple(fc.constantFrom(...kinds), fc.constantFrom(...rows));
  fc.assert(
    fc.property(fc.array(step, { minLength: 1, maxLength: 12 }), (steps) => {
      const { from, result } = newSources();
      steps.forEach(([kind, row], i) => {
        result(kind, BEFORE + i * DAY, row, PASS);
        const isFailed = standing(from.history.of('a').lamps[0]).verdict === 'fail';
        expect(from.defects.openOf('A-01').length > 0).toBe(isFailed);
      });
    }),
    { numRuns: 200 },
  );
});

describe('a circuit that cannot be tested', () => {
  it('is a defect of its own, and none of its luminaires, after a week of a tester fault', () => {
    const { from, take } = newSources();
    take('fault', { reason: Reason.RelayStuckClosed, arg: 0 }, BEFORE);
    expect(openDefects(from, BEFORE + 7 * DAY - 1)).toEqual([]);
    expect(openDefects(from, BEFORE + 7 * DAY)).toMatchObject([
      {
        ...{ circuit: 'a', luminaire: '', place: 'a', state: 'not proven', since: BEFORE, days: 8, entry: 0 },
        cause: 'Not proven. Tester fault: it makes no tests.',
        next: 'Have the tester repaired, then clear the fault.',
      },
    ]);
    take('cleared', { reason: Reason.RelayStuckClosed, arg: 0 }, BEFORE + 8 * DAY);
    expect(openDefects(from, BEFORE + 9 * DAY)).toEqual([]);
  });

  it('is one while a test is overdue, and once its duration test is', () => {
    const { from, take, result } = newSources();
    result(TestKind.Full, BEFORE, PASS, PASS);
    const overdue = (type: TestKind, day: number) =>
      take('overdue', { reason: 0, arg: 7, plan: 1, type }, BEFORE + day * DAY);
    overdue(TestKind.Brief, 40);
    expect(openDefects(from, BEFORE + 40 * DAY)).toMatchObject([
      { cause: 'Not proven. Its function test is overdue.', days: 0 },
    ]);
    overdue(TestKind.Full, 360);
    expect(openDefects(from, BEFORE + 500 * DAY)).toMatchObject([
      {
        cause: 'Not proven. Its function test is overdue. Its duration test is overdue.',
        since: BEFORE + 40 * DAY,
      },
    ]);
    result(TestKind.Brief, BEFORE + 500 * DAY, PASS, PASS);
    expect(openDefects(from, BEFORE + 500 * DAY)).toMatchObject([
      { cause: 'Not proven. Its duration test is overdue.', since: BEFORE + 360 * DAY },
    ]);
    result(TestKind.Full, BEFORE + 501 * DAY, PASS, PASS);
    expect(openDefects(from, BEFORE + 502 * DAY)).toEqual([]);
  });

  it('is one that never had a duration test, from the day on which the first was due', async () => {
    const logbook = await openLogbook(':memory:');
    const { from, notes, take, result } = newSources();
    // A new revision of the settings begins nothing anew.
    for (const [revision, at] of [
      [1, BEFORE],
      [2, BEFORE + 300 * DAY],
    ])
      notes.take(await writeNote(logbook, KEYS, listNote(HOUSE, 'a', revision, at)));
    const due = BEFORE + 365 * DAY;
    const never = 'It has never had a duration test.';
    const told = (now: number, site = HOUSE) =>
      openDefects({ ...from, site }, now).map((one) => [one.circuit, one.luminaire, one.cause, one.since]);
    expect(told(due)).toEqual([]);
    expect(told(due + 1)).toEqual([['a', '', `Not proven. ${never}`, due]]);
    // Its first one was recorded as overdue: that is the same.
    take('overdue', { reason: 0, arg: 7, plan: 1, type: TestKind.Full }, due - 9 * DAY);
    expect(told(due + 1)).toEqual([['a', '', `Not proven. ${never}`, due - 9 * DAY]]);
    result(TestKind.Limited, due, PASS, PASS);
    expect(told(due + DAY)).toHaveLength(1);
    result(TestKind.Full, due + DAY, PASS, PASS);
    expect(told(due + 2 * DAY)).toEqual([]);
    await logbook.close();
  });

  it('counts limited tests only where people are always there and the rule names them', async () => {
    const logbook = await openLogbook(':memory:');
    const { from, notes, result } = newSources();
    notes.take(await writeNote(logbook, KEYS, listNote(HOUSE, 'a', 1, BEFORE)));
    result(TestKind.Limited, BEFORE + 300 * DAY, PASS, PASS);
    result(TestKind.Brief, BEFORE + 350 * DAY, PASS, PASS);
    const circuits = HOUSE.circuits.map((one) => ({ ...one, alwaysOccupied: true }));
    const causes = (day: number, profile: string) =>
      openDefects({ ...from, site: { ...HOUSE, circuits, profile } }, BEFORE + day * DAY).map(
        ({ cause }) => cause,
      );
    const never = ['Not proven. It has never had a duration test.'];
    expect([causes(366, 'en50172'), causes(666, 'en50172')]).toEqual([[], never]);
    expect(causes(400, 'nfpa101-manual')).toEqual(never);
    await logbook.close();
  });

  it('is one if its controller is silent for a week or was never heard, and only where that is known', () => {
    const { from } = newSources();
    const contacts = [
      { circuit: 'a', contact: 'silent' as const, heardAt: BEFORE },
      { circuit: 'b', contact: 'never heard' as const, heardAt: 0 },
    ];
    const causes = (now: number) =>
      openDefects({ ...from, contacts }, now).map((one) => [one.circuit, one.cause, one.since]);
    const never = ['b', 'Not proven. Its controller has never been heard from.', 0];
    expect(causes(BEFORE + DAY)).toEqual([never]);
    expect(causes(BEFORE + 7 * DAY)).toEqual([['a', 'Not proven. Its controller is silent.', BEFORE], never]);
    expect(openDefects(from, BEFORE + 7 * DAY)).toEqual([]);
  });

  it('has not been heard since the host started, and not never, if the log book has its records', () => {
    const { from, result } = newSources();
    result(TestKind.Full, BEFORE, PASS, PASS);
    const contacts = [{ circuit: 'a', contact: 'never heard' as const, heardAt: 0 }];
    expect(openDefects({ ...from, contacts }, BEFORE + DAY)).toMatchObject([
      {
        since: BEFORE,
        cause:
          'Not proven. Its controller has not been heard since this host started; its last record is of ' +
          'Sat 28 Mar 2026.',
      },
    ]);
  });
});

it('comes before all that is only not proven, however new it is, for a page shows the first of very many', () => {
  const one = (state: DefectView['state'], luminaire: string, since: number) =>
    ({ state, luminaire, since }) as DefectView;
  const sorted = [
    ...[one('open', 'A-02', 800), one('open', 'A-01', 900), one('repaired', 'A-03', 100)],
    ...[one('not proven', '', 300), one('not proven', '', 0)],
    ...[one('not proven', 'A-04', 200), one('not proven', 'A-05', 0)],
  ];
  expect([...sorted].reverse().sort(inOrder)).toEqual(sorted);
});
