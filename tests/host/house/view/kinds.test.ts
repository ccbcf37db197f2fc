// A limited test discharges two thirds of the rated duration and never counts as the yearly duration test.
import { expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../../../firmware/contract/codes';
import type { LiveMessage, ResultRecord, StateMessage } from '../../../../firmware/contract/messages';
import { createPast } from '../../../../host/house/past';
import { luminaireHistory } from '../../../../host/house/view/luminaireHistory';
import { recordText } from '../../../../host/house/view/recordView';
import { openLogbook } from '../../../../host/logbook/engines/open';
import { profileOf } from '../../../../host/profiles/profile';
import { readRecord } from '../../../../host/records/schema';
import { owedFullTests } from '../../../../host/site/owed';
import { testSecOf } from '../../../../host/site/settings';
import { KEYS, newJournal, resultFields } from '../../logbook/records';
import { inFileOrder, newBench } from '../bench';
import { HOUSE } from '../site';

const NOW = 1770000000;
const DAY = 86400;
const PASS = [1, 0, 2400, 300, 300, 290, 2];
const FAIL = [2, Reason.EndedEarly, 600, 300, 300, 10, 2];
const Brief = TestKind.Brief;
const Full = TestKind.Full;
const Limited = TestKind.Limited;
const Commissioning = TestKind.Commissioning;
const NOT_FULL = 'limited duration test (2/3, not the full duration)';

function result(type: TestKind, first: number[], more: Partial<ResultRecord> = {}): ResultRecord {
  const fields = resultFields([first, PASS], { type, started: NOW, ...more });
  return readRecord(newJournal('demo/a').next('result', fields)) as ResultRecord;
}

function house(...tests: [TestKind, number[], number?][]) {
  const profile = profileOf('en50172');
  const testSec = (circuit: (typeof HOUSE.circuits)[0], kind: TestKind) => testSecOf(circuit, kind, profile);
  const building = newBench({ testSec, rechargeSec: () => 3600 });
  for (const [kind, row, started = NOW] of tests)
    building.record('a', result(kind, row, { started }), started);
  return building;
}
const lampAfter = (...tests: [TestKind, number[]][]) => house(...tests).controller('a', NOW).lamps[0];

it('a pass disproves a failure of its own kind and of shorter kinds, but not of longer ones', () => {
  const kinds = [Brief, Limited, Full, Commissioning];
  kinds.forEach((failed, i) => {
    kinds.forEach((passed, j) => {
      const { verdict } = lampAfter([failed, FAIL], [passed, PASS]);
      expect(verdict, `${failed} failed, then ${passed} passed`).toBe(j >= i ? 'pass' : 'fail');
    });
  });
});

it('a limited test leaves the last duration test and its due date unchanged', () => {
  const building = house([Full, PASS, NOW - 300 * DAY], [Limited, PASS, NOW]);
  const before = { fullAt: NOW - 300 * DAY, fullDueAt: NOW + 66 * DAY };
  expect(building.controller('a', NOW)).toMatchObject({ ...before, fullOverdue: false });
  expect(building.controller('a', NOW + 67 * DAY)).toMatchObject({ ...before, fullOverdue: true });
  expect(building.controller('a', NOW).lamps[0]).toMatchObject({ kind: 'limited', fullAt: NOW - 300 * DAY });
  expect(house([Limited, PASS]).controller('a', NOW)).toMatchObject({ fullAt: 0, fullDueAt: 0 });
  expect(lampAfter([Limited, PASS])).toMatchObject({ fullSeconds: null, fullVerdict: 'untested' });
});

it('is kept apart from duration tests in what the planner gets', async () => {
  const logbook = await openLogbook(':memory:');
  const past = createPast(HOUSE, KEYS);
  const journal = newJournal('demo/a');
  for (const [type, started] of [
    [Full, 1000],
    [Limited, 2000],
    [Brief, 3000],
  ])
    await logbook.appendBatch([journal.record('result', resultFields([PASS], { type, started }))]);
  for (const entry of await logbook.after(0, 10)) past.take(entry);
  expect(past.history.of('a').last).toEqual({ lastFull: 1000, lastLimited: 2000, lastBrief: 3000 });
  const history = luminaireHistory(
    HOUSE.circuits[0],
    0,
    await logbook.results('demo/a', 9),
    'UTC',
    inFileOrder(HOUSE),
  );
  expect(history.results.map((r) => r.kind)).toEqual(['brief', 'limited', 'full']);
  await logbook.close();
});

it('has its own name in sentences, in the log book and while it runs', () => {
  expect(recordText(result(Limited, PASS), () => ['A-01', 'A-02'])).toBe(
    'Limited duration test (2/3, not the full duration) ended after 90 s: all 2 luminaires passed.',
  );
  expect(recordText(result(Commissioning, PASS), () => [])).toMatch(/^Commissioning test ended/);
  const building = house();
  const state = { phase: Phase.Full, type: Limited, bits: 5, since: NOW, test: 3 } as StateMessage;
  building.state('a', state, NOW);
  expect(building.controller('a', NOW)).toMatchObject({
    kind: 'limited',
    length: 2400,
    sentence: `A ${NOT_FULL} is running; the luminaires are on battery.`,
  });
  const live: LiveMessage = { v: 1, test: 3, type: Limited, t: 1, ma: [1, 2], verdict: [0, 0] };
  expect(building.live('a', live)).toMatchObject({ kind: 'limited' });
});

it('a site file that plans limited tests gets a notice that the duration test is still owed', () => {
  const [a, b] = HOUSE.circuits;
  const site = { ...HOUSE, circuits: [{ ...a, alwaysOccupied: true }, b] };
  expect(owedFullTests(site, profileOf('en50172'))).toEqual([
    expect.stringMatching(/^Circuit a: .*The duration test is still due unless the local rule accepts/),
  ]);
  expect(owedFullTests(HOUSE, profileOf('en50172'))).toEqual([]);
});

it('an order to start or extend a test says which and by how much, and the length on the page follows', () => {
  const order = (fields: object) =>
    readRecord(newJournal('demo/a').next('order', { counter: 1, reason: 0, who: 'Anna', ...fields }))!;
  const longer = order({ do: OrderKind.Extend, arg: 600 });
  expect(recordText(longer, () => [])).toBe(
    'Anna gave the order to extend the test by 10 min; the controller accepted it.',
  );
  const limited = order({ do: OrderKind.Test, arg: Limited, reason: Reason.OutsideWindow });
  expect(recordText(limited, () => [])).toBe(
    `Anna gave the order to start a ${NOT_FULL}; the controller refused it. ` +
      'It is outside the test window.',
  );
  const building = house();
  const state = { phase: Phase.Brief, type: Brief, bits: 5, since: NOW, test: 0 } as StateMessage;
  building.state('a', state, NOW);
  building.record('a', longer, NOW + 30);
  expect(building.controller('a', NOW + 60).length).toBe(690);
  building.record('a', result(Brief, PASS), NOW + 700);
  expect(building.controller('a', NOW + 700).length).toBe(90);
});

it("a hold by order is shown with name and end, and as long-standing after the controller's reminder", () => {
  const building = house();
  const journal = newJournal('demo/a');
  const hold = { counter: 1, reason: 0, who: 'Anna', do: OrderKind.Hold, arg: 3 * DAY };
  const note = (kind: string, fields: object) => readRecord(journal.next(kind, fields))!;
  building.record('a', note('order', hold), NOW);
  const held = { phase: Phase.Held, reason: Reason.OrderedHold, bits: 3, type: 0 } as StateMessage;
  building.state('a', held, NOW + 1);
  const shown = { held: { who: 'Anna', until: NOW + 3 * DAY } };
  expect(building.controller('a', NOW + 1)).toMatchObject({ ...shown, heldLong: false });
  building.record('a', note('reminder', { reason: Reason.OrderedHold, arg: DAY }), NOW + DAY);
  expect(building.controller('a', NOW + DAY)).toMatchObject({ ...shown, heldLong: true });
  building.record('a', note('order', { ...hold, do: OrderKind.Release, arg: 0 }), NOW + DAY + 60);
  building.state('a', { ...held, phase: Phase.Charged, reason: 0 } as StateMessage, NOW + DAY + 61);
  expect(building.controller('a', NOW + DAY + 61)).toMatchObject({ held: null, heldLong: false });
});
