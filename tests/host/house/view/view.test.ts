import { describe, expect, it } from 'vitest';
import { Ending, Phase, Reason, SelfTest, TestKind } from '../../../../firmware/contract/codes';
import { lineText } from '../../../../firmware/contract/curve';
import type { AnyRecord, ResultRecord, StateMessage } from '../../../../firmware/contract/messages';
import { luminaireHistory } from '../../../../host/house/view/luminaireHistory';
import { recordMark, recordText } from '../../../../host/house/view/recordView';
import { openLogbook } from '../../../../host/logbook/engines/open';
import type { Plan } from '../../../../host/planner/plan/plan';
import { profileFor } from '../../../../host/profiles/profile';
import { readRecord } from '../../../../host/records/schema';
import { newJournal, resultFields } from '../../logbook/records';
import { inFileOrder, newBench } from '../bench';
import { HOUSE } from '../site';

/** 2026-02-02 12:00 UTC, a noon at which the night number changes. */
const NOON = Math.floor(Date.UTC(2026, 1, 2, 12) / 1000);
const EVENING = NOON + 10 * 3600;
const PASS = [1, 0, 90, 300, 300, 290, 2];
const FAIL = [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 2];
const VOID = [3, Reason.Outage, 30, 300, 0, 0, 2];
const STOPPED = [3, Reason.OrderedRestore, 30, 300, 0, 0, 2];

const share = { cycle: 2, residue: 0, noon: 43200, fallbackFrom: 0, fallbackSec: 0 };
const PLAN: Plan = {
  from: NOON - 86400,
  until: NOON + 400 * 86400,
  circuits: [
    {
      ...{ circuit: 'a', ...share },
      slots: [
        { test: 1, kind: TestKind.Brief, start: EVENING, end: EVENING + 3600 },
        { test: 1, kind: TestKind.Brief, start: EVENING + 7200, end: EVENING + 10800 },
        { test: 2, kind: TestKind.Full, start: EVENING + 2 * 86400, end: EVENING + 2 * 86400 + 9000 },
      ],
    },
    { ...{ circuit: 'b', ...share }, slots: [] },
  ],
};

const STATE: StateMessage = {
  ...{ v: 1, journal: 'j', boot: 1, up: 1, utc: NOON, clock: 2, phase: Phase.Charged, reason: 0, waiting: 0 },
  ...{ bits: 3, test: 0, type: 0, since: 0, charged: 0, last: 0, acked: 0, settings: 1, plan: 4, overdue: 0 },
  refused: 0,
};

function result(type: TestKind, lamps: number[][], more: Partial<ResultRecord> = {}): ResultRecord {
  const body = newJournal('demo/a').next('result', resultFields(lamps, { type, plan: 4, ...more }));
  return readRecord(body) as ResultRecord;
}

function newHouse() {
  return newBench({ slackSec: () => 5 }, { plan: () => ({ plan: PLAN, revision: 4 }) });
}

describe('contact', () => {
  it('has four words, by the age of the last signed state', () => {
    const house = newHouse();
    const contact = (now: number) => house.controller('a', now).contact;
    expect(contact(NOON)).toBe('never heard');
    expect(house.controller('a', NOON).sentence).toBe('This controller has never reported.');
    house.record('a', result(TestKind.Brief, [PASS, PASS]), NOON - 86_400);
    expect(house.controller('a', NOON).sentence).toBe(
      'Not heard since this host started; its last record is of Sun 1 Feb 2026.',
    );
    house.state('a', STATE, NOON);
    expect([0, 155, 156, 605, 606].map((age) => contact(NOON + age))).toEqual([
      'reporting',
      'reporting',
      'late',
      'late',
      'silent',
    ]);
    expect(house.controller('a', NOON + 7200).sentence).toBe(
      'Nothing heard for 2 h. Last report: The supply is on and the batteries are charged.',
    );
  });

  it("treats the broker's report of a lost connection only as a hint", () => {
    const house = newHouse();
    house.state('a', STATE, NOON);
    house.presence('a', false);
    expect(house.controller('a', NOON + 1).contact).toBe('late');
    house.state('a', STATE, NOON + 2);
    expect(house.controller('a', NOON + 2).contact).toBe('reporting');
  });
});

describe('a controller', () => {
  it('has no senses before its first state, and none while it starts', () => {
    const house = newHouse();
    const blind = { supplyBefore: null, supplyAfter: null, relayOpen: null, redLamp: null, occupied: null };
    expect(house.controller('a', NOON)).toMatchObject({ phase: 'unknown', ...blind });
    house.state('a', { ...STATE, phase: Phase.Starting, bits: 0 }, NOON);
    expect(house.controller('a', NOON)).toMatchObject({ phase: 'starting', ...blind });
  });

  it('shows a running test with its length, senses and readings, and clears them afterwards', () => {
    const house = newHouse();
    house.state(
      'a',
      { ...STATE, phase: Phase.Full, type: TestKind.Full, test: 2, since: NOON, bits: 13 },
      NOON,
    );
    house.live('a', { v: 1, test: 2, type: 2, t: 10, ma: [300, 0], verdict: [0, 2] });
    expect(house.controller('a', NOON + 10)).toMatchObject({
      ...{ phase: 'full', kind: 'full', since: NOON, length: 3600, supplyBefore: true, supplyAfter: false },
      ...{ relayOpen: true, redLamp: true, occupied: false },
      sentence: 'A duration test is running; the luminaires are on battery.',
      live: { circuit: 'a', t: 10, ma: [300, 0], verdict: ['open', 'fail'] },
    });
    house.state('a', STATE, NOON + 20);
    expect(house.controller('a', NOON + 20)).toMatchObject({
      phase: 'charged',
      kind: '',
      length: 0,
      live: null,
    });
  });

  it('says why a due test does not start and why testing is held', () => {
    const house = newHouse();
    house.state('a', { ...STATE, waiting: Reason.Occupied }, NOON);
    expect(house.controller('a', NOON).sentence).toBe(
      'The supply is on and the batteries are charged. A test cannot start: There is someone in the area.',
    );
    house.state('a', { ...STATE, phase: Phase.Held, reason: Reason.KeyHold }, NOON);
    expect(house.controller('a', NOON).sentence).toBe('Testing is on hold. The key switch is set to hold.');
  });

  it('ignores readings that do not fit the circuit, or that no signed state announces', () => {
    const live = { v: 1, test: 2, type: 2, t: 1, ma: [1, 2], verdict: [2, 2] };
    const running = { ...STATE, phase: Phase.Full, type: TestKind.Full, test: 2, since: NOON };
    expect(newHouse().live('a', live)).toBeUndefined();
    const house = newHouse();
    house.state('a', STATE, NOON);
    expect(house.live('a', live)).toBeUndefined();
    house.state('a', running, NOON);
    expect(house.live('a', { ...live, test: 3 })).toBeUndefined();
    expect(house.live('a', { ...live, type: 1 })).toBeUndefined();
    expect(house.live('a', { ...live, ma: [1] })).toBeUndefined();
    expect(house.live('a', { ...live, verdict: [2, 2, 2] })).toBeUndefined();
    expect(house.live('x', { ...live, ma: [], verdict: [] })).toBeUndefined();
    expect(house.live('a', live)).toMatchObject({ verdict: ['fail', 'fail'] });
  });
});

describe('a luminaire', () => {
  const lampAfter = (...records: [TestKind, number[]][]) => {
    const house = newHouse();
    for (const [type, row] of records) house.record('a', result(type, [row, PASS]), NOON);
    return house.controller('a', NOON).lamps[0];
  };
  const Brief = TestKind.Brief;
  const Full = TestKind.Full;

  it('is untested, then has the state of its last result', () => {
    expect(lampAfter()).toMatchObject({ verdict: 'untested', at: 0, fullSeconds: null });
    expect(lampAfter([Brief, PASS])).toMatchObject({ verdict: 'pass', reason: '', kind: 'brief' });
    expect(lampAfter([Brief, PASS], [Brief, VOID])).toMatchObject({
      ...{ verdict: 'void', reason: 'A mains failure interrupted the test; the result is void.' },
    });
    expect(lampAfter([Brief, PASS], [Brief, STOPPED])).toMatchObject({ verdict: 'pass', reason: '' });
  });

  it('does not lose a failure to a void result, nor a failed duration test to a passed function test', () => {
    expect(lampAfter([Brief, FAIL], [Brief, VOID]).verdict).toBe('fail');
    expect(lampAfter([Full, FAIL], [Brief, PASS])).toMatchObject({ verdict: 'fail', kind: 'full' });
    expect(lampAfter([Full, FAIL], [Full, VOID])).toMatchObject({ verdict: 'fail', fullVerdict: 'fail' });
  });

  it('keeps the last proven verdict beside a void attempt, with date and kind of both', () => {
    const house = newHouse();
    house.record('a', result(Full, [PASS, FAIL], { started: NOON }), NOON);
    house.record('a', result(Brief, [VOID, VOID], { started: NOON + 100 }), NOON);
    const [first, second] = house.controller('a', NOON).lamps;
    expect(first).toMatchObject({
      ...{ verdict: 'void', proven: { verdict: 'pass', at: NOON, kind: 'full' } },
      attempt: {
        verdict: 'void',
        at: NOON + 100,
        kind: 'brief',
        reason: expect.stringMatching(/^A mains failure/),
      },
    });
    expect(second).toMatchObject({
      ...{ verdict: 'fail', proven: { verdict: 'fail', at: NOON, kind: 'full' } },
      attempt: { verdict: 'void', at: NOON + 100, kind: 'brief' },
    });
    expect(lampAfter([Full, PASS], [Full, VOID])).toMatchObject({ fullVerdict: 'pass', fullSeconds: 90 });
    expect(lampAfter([Brief, VOID])).toMatchObject({ proven: null, attempt: { verdict: 'void' } });
  });

  it('has failed since the first result that showed it, until a test disproves it', () => {
    const house = newHouse();
    const since = (type: TestKind, row: number[], started: number) => {
      house.record('a', result(type, [row, PASS], { started }), NOON);
      return house.controller('a', NOON).lamps[0].failedSince - NOON;
    };
    expect(since(Brief, PASS, NOON)).toBe(-NOON);
    expect(since(Brief, FAIL, NOON + 1)).toBe(1);
    expect(since(Brief, VOID, NOON + 2)).toBe(1);
    expect(since(Full, FAIL, NOON + 3)).toBe(1);
    expect(since(Brief, PASS, NOON + 4)).toBe(1);
    expect(since(Full, PASS, NOON + 5)).toBe(-NOON);
  });

  it('is cleared by the kind of test that can disprove the failure', () => {
    expect(lampAfter([Brief, FAIL], [Brief, PASS]).verdict).toBe('pass');
    expect(lampAfter([Brief, FAIL], [Full, PASS]).verdict).toBe('pass');
    expect(lampAfter([Full, FAIL], [Full, PASS])).toMatchObject({ verdict: 'pass', fullVerdict: 'pass' });
  });

  it('is counted once in the status', () => {
    const house = newHouse();
    house.record('a', result(Brief, [FAIL, PASS]), NOON);
    expect(house.status(NOON, 60)).toMatchObject({
      ...{ now: NOON, speed: 60, counts: { pass: 1, fail: 1, void: 0, untested: 1 } },
    });
  });
});

describe('tonight', () => {
  const states = (house: ReturnType<typeof newHouse>, now: number) =>
    house.status(now, 1).tonight.map((test) => `${test.circuit} ${test.test} ${test.kind} ${test.state}`);

  it('shows what is due, and a test that was not run', () => {
    expect(states(newHouse(), NOON + 60)).toEqual(['a 1 brief due', 'a 1 brief due']);
    const house = newHouse();
    house.state('a', STATE, EVENING + 5000);
    expect(states(house, EVENING + 5000)).toEqual(['a 1 brief not run', 'a 1 brief due']);
  });

  it('does not claim that a test was not run, or runs, while its controller is not heard', () => {
    expect(states(newHouse(), EVENING + 5000)).toEqual(['a 1 brief not known', 'a 1 brief due']);
    const house = newHouse();
    house.state('a', { ...STATE, phase: Phase.Brief, type: TestKind.Brief, test: 1 }, EVENING + 60);
    expect(states(house, EVENING + 2000)[0]).toBe('a 1 brief not known');
  });

  it('shows the next night that has tests when this one has none', () => {
    expect(states(newHouse(), NOON + 86400 + 60)).toEqual(['a 2 full due']);
  });

  it('shows a running test, its verdict, and no second attempt after a verdict', () => {
    const house = newHouse();
    house.state('a', { ...STATE, phase: Phase.Brief, type: TestKind.Brief, test: 1 }, EVENING + 60);
    expect(states(house, EVENING + 60)[0]).toBe('a 1 brief running');
    house.state('a', { ...STATE, phase: Phase.Recharging }, EVENING + 200);
    house.record('a', result(TestKind.Brief, [PASS, FAIL], { started: EVENING + 60 }), EVENING + 200);
    expect(states(house, EVENING + 200)).toEqual(['a 1 brief fail']);
  });

  it('shows a void test with its second attempt still due', () => {
    const house = newHouse();
    house.record('a', result(TestKind.Brief, [VOID, VOID], { started: EVENING + 60 }), EVENING + 100);
    expect(states(house, EVENING + 200)).toEqual(['a 1 brief void', 'a 1 brief due']);
    const stopped = newHouse();
    const end = Reason.OrderedRestore;
    stopped.record(
      'a',
      result(TestKind.Brief, [STOPPED, STOPPED], { started: EVENING + 60, end }),
      EVENING + 100,
    );
    expect(states(stopped, EVENING + 200)).toEqual(['a 1 brief stopped', 'a 1 brief due']);
    // The same window is used up; the next one is the next try.
    expect(stopped.controller('a', EVENING + 200).stopped).toMatchObject({ nextAt: EVENING + 7200 });
  });

  it('does not mistake a result of an older plan for one of this plan', () => {
    const house = newHouse();
    const old = result(TestKind.Brief, [PASS, PASS], { started: EVENING + 60, plan: 3 });
    house.record('a', old, EVENING + 200);
    house.state('a', STATE, EVENING + 200);
    expect(states(house, EVENING + 200)).toEqual(['a 1 brief due', 'a 1 brief due']);
  });
});

const chargeFields = (more: object): object => ({
  ...{ reason: 0, arg: 400, plan: 1, test: 5, half: 36_000, float: 50_400 },
  ...{ step: 2400, curve: 'o'.repeat(37), ...more },
});

describe('a line of the log book', () => {
  const text = (kind: string, fields: object): [string, string] => {
    const record = readRecord(newJournal('demo/a').next(kind, fields)) as AnyRecord;
    return [recordMark(record), recordText(record, () => ['A-01', 'A-02'])];
  };

  it.each<[string, object, string, string]>([
    [
      ...(['start', { cause: 0, firmware: '0.1.0' }, 'note'] as const),
      'The controller has started with an empty memory (firmware 0.1.0).',
    ],
    [
      ...(['start', { seq: 7, cause: 0, firmware: '0.1.0' }, 'note'] as const),
      'The controller has started (firmware 0.1.0).',
    ],
    [
      ...(['intent', { plan: 1, test: 3, type: 1 }, 'note'] as const),
      'Function test starts: the supply is about to be cut.',
    ],
    [
      'result',
      resultFields([PASS, PASS]),
      'pass',
      'Function test ended after 90 s: all 2 luminaires passed.',
    ],
    [
      ...(['result', resultFields([PASS, FAIL], { type: 2, seconds: 3600 }), 'fail'] as const),
      'Duration test ended after 60 min: 1 of 2 luminaires failed. ' +
        'A-02: The lamp was not lit 5 s after the supply was cut.',
    ],
    [
      ...([
        'result',
        resultFields([STOPPED, STOPPED], { end: Reason.OrderedRestore, seconds: 30 }),
        'void',
      ] as const),
      'Function test stopped after 30 s: nothing was judged. Someone ordered the supply to be restored.',
    ],
    [
      ...(['fault', { reason: Reason.RelayStuckOpen, arg: 0 }, 'alarm'] as const),
      'Tester fault: no tests until it is cleared. ' +
        'The relay did not close when switched: the supply is still off.',
    ],
    [
      ...(['outage', { reason: 20, arg: 0 }, 'alarm'] as const),
      'Mains failure; the luminaires are on battery.',
    ],
    [
      ...([
        'charge',
        chargeFields({ reason: Reason.NoCharge, arg: 3, half: -1, float: -1, curve: '' }),
        'alarm',
      ] as const),
      'No charging after the last test: 3 mA 60 s after the supply came back. ' +
        'The batteries have drawn no charging current since the supply came back.',
    ],
    [
      ...(['charge', chargeFields({}), 'note'] as const),
      'Charging after the last test started at 400 mA and fell to half within 10 h and to a fifth within 14 h.',
    ],
    [
      ...(['charge', chargeFields({ reason: Reason.SlowRecharge, float: -1 }), 'alarm'] as const),
      'Charging after the last test started at 400 mA and fell to half within 10 h. ' +
        'The charging current had not fallen by the end of the recharge time.',
    ],
    [
      ...(['charge', chargeFields({ test: 0, half: -1, float: -1, curve: 'oooo' }), 'note'] as const),
      'Charging after the last test started at 400 mA. The supply failed again; charging was seen for only 2 h.',
    ],
    ['supply', { reason: 20, arg: 600 }, 'note', 'The mains is back after 10 min.'],
    [
      ...(['held', { reason: Reason.OrderedHold, arg: 3600 }, 'note'] as const),
      'Testing is on hold for 60 min. Someone put testing on hold.',
    ],
    [
      ...(['overdue', { reason: 0, arg: 5 }, 'alarm'] as const),
      'A test is overdue: none of its planned tries had a verdict.',
    ],
    [
      ...(['overdue', { reason: Reason.ClockUntrusted, arg: 0 }, 'alarm'] as const),
      'No test is being made: the controller does not know the time. It needs the host, or a clock chip.',
    ],
    [
      ...(['fault', { reason: Reason.GuardSlow, arg: Ending.Enable }, 'alarm'] as const),
      'Tester fault: no tests until it is cleared. ' +
        'One of the guards that release the relay was too slow or did not release it. It was the enable signal.',
    ],
    [
      ...(['fault', { reason: Reason.SelfTest, arg: SelfTest.Program }, 'alarm'] as const),
      'Tester fault: no tests until it is cleared. A self-test of the controller failed. ' +
        'Its program has changed: load it again, and replace the controller if it happens again.',
    ],
    ['chip', { reason: 0, arg: 0 }, 'note', 'The clock chip was set.'],
    [
      ...(['chip', { reason: Reason.ClockFault, arg: 0 }, 'alarm'] as const),
      'The clock chip does not answer, or cannot be set. Check its wiring and its cell.',
    ],
    [
      ...(['chip', { reason: Reason.ClockFault, arg: -7200 }, 'alarm'] as const),
      'The clock chip was 2 h behind and was corrected. If this happens again, replace it.',
    ],
    [
      ...(['order', { counter: 1, do: 1, arg: 0, reason: 0, who: 'Anna' }, 'note'] as const),
      'Anna gave the order to restore the supply; the controller accepted it.',
    ],
    [
      ...(['refused', { counter: 1, do: 1, arg: 0, reason: Reason.Replayed, who: '' }, 'note'] as const),
      'Someone unnamed gave the order to restore the supply; the controller refused it. The message has been used before.',
    ],
    [
      ...(['refused', { counter: 0, do: 5, arg: 1, reason: Reason.StopInput, who: '' }, 'note'] as const),
      'Function test on demand was called off before it started. The fire alarm or stop input is active.',
    ],
  ])('reads plainly for a record of kind %s', (kind, fields, mark, line) => {
    expect(text(kind, fields)).toEqual([mark, line]);
  });
});

describe('a history', () => {
  it('collects results, curves and the diagnosis of one luminaire, newest first', async () => {
    const logbook = await openLogbook(':memory:');
    const journal = newJournal('demo/a');
    const curves = { step: 100, curves: ['oo', 'oA'], type: 2, seconds: 3600 };
    const late = { started: 1790000000 };
    await logbook.appendBatch([
      journal.record('result', resultFields([PASS, PASS], { ...curves, started: 1780000000 })),
      journal.record('result', resultFields([PASS, FAIL], late)),
    ]);
    const history = luminaireHistory(
      HOUSE.circuits[0],
      1,
      await logbook.results('demo/a', 10),
      HOUSE.timeZone,
      inFileOrder(HOUSE),
    );
    expect(history).toMatchObject({ luminaire: 'A-02', circuit: 'a' });
    expect(history.results.map((r) => [r.entry, r.kind, r.verdict, r.milliampsAt5])).toEqual([
      [2, 'brief', 'fail', 0],
      [1, 'full', 'pass', 300],
    ]);
    expect(history.curves).toEqual([{ at: 1780000000, step: 100, percent: [100, 0], bound: 1.25 }]);
    expect(history.diagnosis).toMatch(/^Most likely the charger, .* on Thu 28 May 2026 the lamp was lit for/);
    await logbook.close();
  });

  it('interpolates between the points of a curve, and leaves out what it cannot read', async () => {
    const logbook = await openLogbook(':memory:');
    const journal = newJournal('demo/a');
    // Place 1: 100 %, place 3: 90 %, place 4: 0 %.
    const points = [1 * 128 + 100, 3 * 128 + 90, 4 * 128];
    const curves = { grid: 30, curves: ['????', lineText(points, 0, 3, 2)], type: 2, seconds: 3600 };
    await logbook.appendBatch([
      journal.record('result', resultFields([PASS, PASS], { ...curves, started: 1780000000 })),
    ]);
    const curvesOf = async (index: number) =>
      luminaireHistory(
        HOUSE.circuits[0],
        index,
        await logbook.results('demo/a', 10),
        HOUSE.timeZone,
        inFileOrder(HOUSE),
      ).curves;
    expect(await curvesOf(1)).toEqual([
      { at: 1780000000, step: 30, percent: [-1, 100, 95, 90, 0], bound: 2.5 },
    ]);
    expect(await curvesOf(0)).toEqual([]);
    await logbook.close();
  });
});

it('the building tells the page at what current a lamp counts as lit, by the rule profile', () => {
  const floor = profileFor(HOUSE).floorPercent.value;
  expect([newHouse().view.building().floorPercent, floor]).toEqual([70, 70]);
});

it('tells the open defects anew after an entry, a contact, another plan and with time', () => {
  let plan: Plan | undefined;
  const house = newBench({ slackSec: () => 5 }, { plan: () => plan && { plan, revision: 4 } });
  const told = (now: number) => {
    house.status(now, 1);
    const { open } = house.view.defects(now, { skip: 0, limit: 0 });
    return open.filter(({ circuit }) => circuit === 'a').map(({ cause, next }) => `${cause} ${next}`);
  };
  expect(told(NOON)).toEqual([expect.stringContaining('never been heard')]);
  house.state('a', STATE, NOON);
  house.presence('a', true);
  expect(told(NOON)).toEqual([]);
  for (const _ of [1, 2]) house.record('a', result(TestKind.Brief, [PASS, VOID]), NOON - 86_400);
  expect(told(NOON)).toEqual([expect.stringMatching(/without a verdict: 2.*not planned yet\.$/)]);
  plan = PLAN;
  expect(told(NOON)).toEqual([expect.stringMatching(/without a verdict: 2.*planned for .*\.$/)]);
  expect(told(NOON + 8 * 86_400)).toContainEqual(expect.stringContaining('Its controller is silent.'));
});
