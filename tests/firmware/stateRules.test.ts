// The rules of state that follow from the requirements taken together: from which state a test may start, and
// what satisfies a due date. Our own reading of the sources in docs/requirements.md.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../firmware/contract/codes';
import type { EventRecord } from '../../firmware/contract/messages';
import type { FaultSpec } from '../../simulator/faults';
import { circuit, happens, restart, results, runTo, slot, toDark } from '../requirements/rig';
import { type Estate, HOURS, WINDOW, WINDOW_MS } from '../simulator/estate';

/** A window without a test of its own for three days: only the state can refuse an order. */
const ALWAYS = [[9, TestKind.None, WINDOW.start - 90_000, WINDOW.start + 3 * 86_400]];
const open = (faults: FaultSpec[] = []) => circuit(TestKind.None, { slots: ALWAYS, spec: { faults } });
const phase = (e: Estate): Phase => e.node.controller!.core.phase;

/** The answer to an order for a test, given now. */
function ask(e: Estate, kind: TestKind): Reason {
  const before = e.replies.length;
  e.order(OrderKind.Test, kind);
  runTo(e, () => e.replies.length > before, e.fleet.now + 60_000);
  return e.replies[before].reason;
}

const CASES: [string, Phase, Reason, () => Estate][] = [
  ['the first charge', Phase.Recharging, Reason.StillRecharging, () => open().run(HOURS(20))],
  [
    'a brief test',
    Phase.Brief,
    Reason.Busy,
    () => {
      const e = open().run(WINDOW_MS);
      ask(e, TestKind.Brief);
      return runTo(e, () => phase(e) === Phase.Brief, WINDOW_MS + 60_000);
    },
  ],
  [
    'the recharge after a full test',
    Phase.Recharging,
    Reason.StillRecharging,
    () => {
      const e = open().run(WINDOW_MS);
      ask(e, TestKind.Full);
      return e.run(WINDOW_MS + HOURS(20));
    },
  ],
  ['an outage', Phase.Outage, Reason.Outage, () => happens(open(), 'outages', WINDOW_MS, 900)],
  ['a hold by key', Phase.Held, Reason.KeyHold, () => happens(open(), 'keys', WINDOW_MS, 900)],
  ['the stop input', Phase.Charged, Reason.StopInput, () => happens(open(), 'stops', WINDOW_MS, 900)],
  [
    'a hold by order',
    Phase.Held,
    Reason.OrderedHold,
    () => {
      const e = open().run(WINDOW_MS);
      e.order(OrderKind.Hold, 3600);
      return e;
    },
  ],
  [
    'a fault of the tester',
    Phase.Fault,
    Reason.Busy,
    () => {
      const e = open([{ kind: 'relay stuck closed', at: 0, repairedAt: HOURS(99) }]).run(WINDOW_MS);
      ask(e, TestKind.Brief);
      return e;
    },
  ],
];

describe('a full test', () => {
  it('starts from a charged circuit', () => {
    expect(ask(open().run(WINDOW_MS), TestKind.Full)).toBe(Reason.None);
  });

  it.each(CASES)('does not start from %s', (_name, expected, why, prepare) => {
    const e = prepare();
    e.run(Math.max(e.fleet.now, WINDOW_MS - HOURS(6)) + 10_000);
    if (e.fleet.now < WINDOW_MS && expected !== Phase.Recharging) e.run(WINDOW_MS + 10_000);
    expect(phase(e)).toBe(expected);
    expect(ask(e, TestKind.Full)).toBe(why);
    expect(e.watch.violations).toEqual([]);
  });

  it('nor does a brief or limited one while batteries recharge, under any profile', () => {
    const e = open().run(WINDOW_MS);
    ask(e, TestKind.Full);
    e.run(WINDOW_MS + HOURS(20));
    expect([ask(e, TestKind.Brief), ask(e, TestKind.Limited)]).toEqual([
      Reason.StillRecharging,
      Reason.StillRecharging,
    ]);
    expect(results(e)).toHaveLength(1);
  });
});

describe('a test that proved nothing', () => {
  const ended = (spoil: (e: Estate) => void, faults: FaultSpec[] = []): Estate => {
    const e = circuit(TestKind.Brief, { slots: [slot(1, TestKind.Brief)], spec: { faults } });
    toDark(e).run(e.fleet.now + 20_000);
    spoil(e);
    return e.run(WINDOW_MS + HOURS(6));
  };

  it.each([
    ['an outage', Reason.Outage, (e: Estate) => void happens(e, 'outages', e.fleet.now + 500, 600)],
    ['the stop input', Reason.StopInput, (e: Estate) => void happens(e, 'stops', e.fleet.now + 500, 60)],
    ['the key', Reason.KeyHold, (e: Estate) => void happens(e, 'keys', e.fleet.now + 500, 60)],
    ['an order', Reason.OrderedRestore, (e: Estate) => e.order(OrderKind.Restore)],
    ['a hold', Reason.OrderedHold, (e: Estate) => e.order(OrderKind.Hold, 600)],
    ['a restart', Reason.Reset, (e: Estate) => void restart(e)],
  ])(
    'by %s satisfies no due date: when its last slot has passed it is overdue, once',
    (_name, end, spoil) => {
      const e = ended(spoil);
      expect(results(e).map((r) => r.end)).toEqual([end]);
      expect((e.of('overdue') as EventRecord[]).map((r) => r.arg)).toEqual([1]);
      e.run(WINDOW_MS + HOURS(60));
      expect(e.of('overdue')).toHaveLength(1);
      expect(e.state?.overdue).toBe(1);
    },
  );

  it('is not overdue once a later slot has completed it', () => {
    const slots = [slot(1, TestKind.Brief), slot(1, TestKind.Brief, 2)];
    const e = toDark(circuit(TestKind.Brief, { slots }));
    e.order(OrderKind.Restore);
    e.run(WINDOW_MS + HOURS(80));
    expect(results(e).map((r) => r.end)).toEqual([Reason.OrderedRestore, Reason.Complete]);
    expect([e.of('overdue'), e.state?.overdue]).toEqual([[], 0]);
  });

  it.each([
    ['a hold', (e: Estate) => e.order(OrderKind.Hold, 604_800)],
    ['a fault of the tester', (e: Estate) => void e.node.plant.relay.welds.push({ from: 0, to: HOURS(99) })],
  ])('for %s that outlasts its last slot is reported overdue meanwhile', (_name, prevent) => {
    const e = circuit(TestKind.Brief, { slots: [slot(1, TestKind.Brief)] }).run(WINDOW_MS - HOURS(2));
    prevent(e);
    e.run(WINDOW_MS + HOURS(12));
    expect([Phase.Held, Phase.Fault]).toContain(phase(e));
    expect((e.of('overdue') as EventRecord[]).map((r) => r.arg)).toEqual([1]);
    e.run(WINDOW_MS + HOURS(36));
    expect([e.of('overdue').length, e.state?.overdue]).toEqual([1, 1]);
  });
});
