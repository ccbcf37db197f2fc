// A plan is long: a few rows are read per turn, and whatever comes between leaves one whole plan in force.
import { describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { dueAt, openWindowEnd } from '../../../firmware/core/schedule';
import { hasUnread, PLAN_FILE, readOn, receive } from '../../../firmware/link/inbox';
import { Bench, IN_WINDOW, SETTINGS, START } from '../core/bench';
import { Door } from './door';

function rows(count: number): string {
  const first = START + 9_000_000;
  return Array.from({ length: count }, (_, i) => `${i + 1},1,${i > 0 ? 86_400 : first},3600;`).join('');
}

function plan(d: Door, revision: number, slots: string): string {
  return d.signed('plan', { v: 1, revision, until: START + 20_000_000, slots });
}

/** Delivers a plan and has its signature checked, without reading any rows. */
function begin(d: Door, text: string): void {
  receive(d.inbox, 'plan', text, 0, d.bench.now);
  expect(d.inbox.draft).toBeUndefined();
  readOn(d.inbox, d.bench.now);
}

/** Turns until no work is left on the plan. */
function finish(d: Door): number {
  let turns = 0;
  for (; hasUnread(d.inbox); turns++) readOn(d.inbox, d.bench.now);
  d.bench.perform();
  return turns;
}

describe('a long plan', () => {
  it('takes effect and is saved to flash after its last row, a few rows a turn', () => {
    const d = new Door();
    begin(d, plan(d, 2, rows(Limit.PlanSlots)));
    for (let read = Limit.PlanRowsATurn; read <= Limit.PlanSlots; read += Limit.PlanRowsATurn) {
      readOn(d.inbox, d.bench.now);
      expect(d.inbox.draft?.count).toBe(read);
      expect([d.bench.s.planRevision, d.bench.s.slotCount, d.flash.load(PLAN_FILE)]).toEqual([1, 0, '']);
    }
    // All rows are valid: they are read once more into the place of the old plan's.
    expect(finish(d)).toBe(1 + Limit.PlanSlots / Limit.PlanRowsATurn + 1);
    expect([d.bench.s.planRevision, d.bench.s.slotCount]).toEqual([2, Limit.PlanSlots]);
    expect(d.flash.load(PLAN_FILE)).toContain('"revision":2');
  });

  it('has nothing due, and no window for an order, while its rows replace those of the old one', () => {
    const d = new Door(new Bench().planned(TestKind.Brief).run(IN_WINDOW - 60_000));
    begin(d, plan(d, 2, rows(30)));
    const isReplacing = () => d.inbox.draft?.slots !== undefined;
    while (!isReplacing()) readOn(d.inbox, d.bench.now);
    for (; isReplacing(); readOn(d.inbox, d.bench.now)) {
      expect(dueAt(d.bench.s, IN_WINDOW).kind).toBe(TestKind.None);
      expect(openWindowEnd(d.bench.s, IN_WINDOW)).toBe(0);
      expect(d.bench.s.planRevision).toBe(1);
    }
    expect(d.bench.s.planRevision).toBe(2);
  });

  it.each([
    ['a bad last row', `${rows(Limit.PlanSlots - 1)}9,1,200,0;`],
    ['a row too many', rows(Limit.PlanSlots + 1)],
    ['a row that does not end', `${rows(30)}9,1,200`],
  ])('with %s is refused once and leaves the old one as it was', (_name, slots) => {
    const d = new Door();
    begin(d, plan(d, 2, slots));
    finish(d);
    expect(d.refusals()).toEqual([Reason.OutOfBounds]);
    expect([d.bench.s.planRevision, d.bench.s.slotCount, d.flash.load(PLAN_FILE)]).toEqual([1, 0, '']);
  });

  it('is read to its end before another one is started', () => {
    const d = new Door();
    begin(d, plan(d, 2, rows(30)));
    readOn(d.inbox, d.bench.now);
    receive(d.inbox, 'plan', plan(d, 3, rows(5)), 0, d.bench.now);
    receive(d.inbox, 'plan', 'rubbish', 0, d.bench.now);
    finish(d);
    expect([d.bench.s.planRevision, d.bench.s.slotCount, d.inbox.refused]).toEqual([2, 30, 0]);
    d.give('plan', plan(d, 3, rows(5)));
    expect([d.bench.s.planRevision, d.bench.s.slotCount]).toEqual([3, 5]);
  });

  it('is dropped by a test that begins meanwhile, and accepted when it is sent again', () => {
    const d = new Door(new Bench().planned(TestKind.Brief));
    const text = plan(d, 2, rows(30));
    begin(d, text);
    readOn(d.inbox, d.bench.now);
    d.bench.runToDischarge();
    expect(finish(d)).toBe(1);
    expect([d.bench.s.planRevision, d.bench.s.slotCount, d.inbox.refused]).toEqual([1, 1, 0]);
    d.bench.run(d.bench.now + 300_000);
    d.give('plan', text);
    expect([d.bench.s.planRevision, d.bench.s.slotCount]).toEqual([2, 30]);
  });
});

it('settings and a plan that arrive at the same instant are both read', () => {
  const d = new Door();
  const settings = { ...SETTINGS, revision: 7 };
  receive(d.inbox, 'plan', plan(d, 2, rows(5)), 0, d.bench.now);
  receive(d.inbox, 'settings', d.signed('settings', settings), 0, d.bench.now);
  finish(d);
  expect([d.bench.s.set.revision, d.bench.s.planRevision]).toEqual([7, 2]);
});

it('plan and settings are not even read during a running test, whoever sent them', () => {
  const d = new Door(new Bench().planned(TestKind.Brief).runToDischarge());
  d.give('plan', 'rubbish');
  d.give('settings', 'rubbish');
  expect([d.inbox.refused, d.refusals()]).toEqual([0, []]);
  d.give('order', 'rubbish');
  expect([d.inbox.refused, d.refusals()]).toEqual([1, [Reason.BadSignature]]);
});
