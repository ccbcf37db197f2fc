// Requirements on people who may stop or hold tests, on the clock, and on the link to the host. Status marks:
// V1 read in primary text or an authority's page, V2 secondary restatement, M from memory, CP common practice
// without source.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../firmware/contract/codes';
import type { EventRecord, OrderRecord } from '../../firmware/contract/messages';
import { sign, signingKey } from '../../firmware/contract/signature';
import { sha256 } from '../../simulator/digest';
import type { SimulatedWire } from '../../simulator/network';
import { type Estate, HOURS, WINDOW_MS } from '../simulator/estate';
import { circuit, DAY_MS, happens, restart, results, sentPackets, slot, toDark } from './rig';

const core = (e: Estate) => e.node.controller!.core;
const reachable = (e: Estate, is: boolean) => (e.node.net as SimulatedWire).setReachable(is);

describe('who may inhibit tests', () => {
  it('R46 an ordered hold needs a signature, names who ordered it, and is logged with its start and its end (CP, M)', () => {
    const e = circuit(TestKind.Brief).run(HOURS(20));
    const expires = Math.floor(e.fleet.utcMs() / 1000) + 300;
    const forged = JSON.stringify({ v: 1, counter: 1, expires, do: OrderKind.Hold, arg: 3600, who: 'x' });
    const wrongKey = signingKey('another secret', sha256);
    e.fleet.publish('nightproof/estate/c1/order', sign(wrongKey, 'order', 'estate/c1', forged.slice(0, -1)));
    e.run(HOURS(20.1));
    expect([core(e).phase, core(e).holdUntil]).toEqual([Phase.Recharging, 0]);
    e.order(OrderKind.Hold, 3600);
    e.run(HOURS(20.2));
    expect([core(e).phase, core(e).reason]).toEqual([Phase.Held, Reason.OrderedHold]);
    e.run(HOURS(22));
    const orders = (e.of('order') as OrderRecord[]).map((r) => [r.do, r.arg, r.who]);
    expect(orders).toEqual([[OrderKind.Hold, 3600, 'test']]);
    expect((e.of('refused') as OrderRecord[]).map((r) => r.reason)).toEqual([Reason.BadSignature]);
    const [held] = e.of('held') as EventRecord[];
    const [released] = e.of('released') as EventRecord[];
    expect([held.reason, held.arg]).toEqual([Reason.OrderedHold, 3600]);
    expect(Math.abs(released.utc - held.utc - 3600)).toBeLessThanOrEqual(2);
  });

  it('R46 no ordered hold lasts more than 7 days: a longer one is refused, and the longest one expires by itself (CP, M)', () => {
    const slots = [0, 1, 2, 3, 4, 5, 6, 7, 8].map((later) => slot(later + 1, TestKind.Brief, later));
    const e = circuit(TestKind.Brief, { slots }).run(HOURS(20));
    e.order(OrderKind.Hold, 604_801);
    e.run(HOURS(20) + 5000);
    e.order(OrderKind.Hold, 604_800);
    e.run(HOURS(20) + 7 * DAY_MS);
    expect(e.replies.map((reply) => reply.reason)).toEqual([Reason.OutOfBounds, Reason.None]);
    expect(results(e)).toEqual([]);
    e.run(HOURS(20) + 8 * DAY_MS + HOURS(12));
    expect(results(e).map((r) => r.end)).toEqual([Reason.Complete, Reason.Complete]);
    expect(e.of('released')).toHaveLength(1);
  });

  it('R46 a restart does not shorten a hold, and a turned key is logged as well (CP, M)', () => {
    const e = circuit(TestKind.Brief).run(HOURS(20));
    e.order(OrderKind.Hold, 86_400);
    restart(e.run(HOURS(21))).run(WINDOW_MS + HOURS(4));
    expect([core(e).phase, results(e)]).toEqual([Phase.Held, []]);
    const keyed = happens(circuit(TestKind.Brief), 'keys', HOURS(10), 600).run(HOURS(11));
    expect((keyed.of('held') as EventRecord[]).map((r) => r.reason)).toEqual([Reason.KeyHold]);
    const [released] = keyed.of('released') as EventRecord[];
    expect(Math.abs(released.arg - 600)).toBeLessThanOrEqual(2);
  });
});

describe('a forgotten hold', () => {
  const reminders = (e: Estate) => e.of('reminder') as EventRecord[];

  it('R46 a key left turned prompts a reminder every hour of its first day, while batteries drain, and daily from then on (CP)', () => {
    const e = happens(circuit(TestKind.Brief), 'keys', HOURS(10), 3 * 86_400 + 60);
    e.run(HOURS(10) + DAY_MS - 60_000);
    expect(reminders(e).map((r) => [r.reason, Math.round(r.arg / 3600)])).toEqual(
      Array.from({ length: 23 }, (_, i) => [Reason.KeyHold, i + 1]),
    );
    e.run(HOURS(12) + 3 * DAY_MS);
    expect(reminders(e).length).toBeGreaterThanOrEqual(23 + 2);
    expect(reminders(e).length).toBeLessThanOrEqual(23 + 4);
    e.run(HOURS(12) + 6 * DAY_MS);
    expect(e.of('released')).toHaveLength(1);
  });

  it('R46 an ordered hold prompts a reminder every day until it expires (CP)', () => {
    const e = circuit(TestKind.Brief).run(HOURS(20));
    e.order(OrderKind.Hold, 604_800);
    e.run(HOURS(20) + 8 * DAY_MS);
    expect(reminders(e).map((r) => [r.reason, Math.round(r.arg / 86_400)])).toEqual(
      [1, 2, 3, 4, 5, 6].map((day) => [Reason.OrderedHold, day]),
    );
  });
});

describe('the clock', () => {
  it('R30 a clock that was never set starts no test (IEC 62034, 4.2, title V1)', () => {
    const e = circuit(TestKind.Brief).run(HOURS(20));
    reachable(e, false);
    restart(e).run(WINDOW_MS + 3 * DAY_MS);
    expect(core(e).clockSet).toBe(0);
    expect(e.node.plant.relay.drivenSince).toBe(0);
    e.order(OrderKind.Test, TestKind.Brief);
    reachable(e, true);
    e.run(WINDOW_MS + 3 * DAY_MS + HOURS(1));
    expect(e.state?.clock).toBe(2);
  });

  it('R30 a clock that may be more than an hour off starts no test, and it reports how far it can be trusted (IEC 62034, 4.2, title V1)', () => {
    const e = circuit(TestKind.Brief).run(HOURS(20));
    expect(e.state?.clock).toBe(2);
    reachable(e, false);
    // 100 parts per million add up to an hour in 416 days; until then the fallback schedule tests every 30
    // days.
    e.run(417 * DAY_MS);
    const before = e.watch.openings;
    expect(before).toBeGreaterThan(3);
    e.run(460 * DAY_MS + HOURS(3));
    expect([core(e).waiting, e.watch.openings]).toEqual([Reason.ClockUntrusted, before]);
    reachable(e, true);
    e.run(462 * DAY_MS);
    expect(e.watch.openings).toBe(before + 1);
    const grades = results(e).map((r) => r.clock);
    expect([grades.at(0), grades.at(-2), grades.at(-1)]).toEqual([2, 1, 2]);
  });
});

describe('the link to the host', () => {
  it('R31 planned tests continue with the link down, and their results are delivered when it is back (IEC 62034, 4.4.2, title V1)', () => {
    const slots = [slot(1, TestKind.Full), slot(2, TestKind.Brief, 2), slot(3, TestKind.Brief, 5)];
    const e = circuit(TestKind.Full, { slots }).run(HOURS(2));
    reachable(e, false);
    e.run(WINDOW_MS + 7 * DAY_MS);
    expect(results(e)).toEqual([]);
    reachable(e, true);
    e.run(WINDOW_MS + 7 * DAY_MS + HOURS(1));
    expect(results(e).map((r) => [r.test, r.end])).toEqual([1, 2, 3].map((test) => [test, Reason.Complete]));
    expect([e.watch.violations, e.refused]).toEqual([[], []]);
  });

  it('R31 beyond the plan they continue at the intervals the controller knows (IEC 62034, 4.4.2, title V1)', () => {
    const e = circuit(TestKind.Brief, { slots: [] }).run(HOURS(2));
    e.send('plan', { v: 1, revision: 2, until: Math.floor(e.fleet.utcMs() / 1000) + 60, slots: '' });
    e.node.spec.rules.planUntil = Math.floor(e.fleet.utcMs() / 1000) + 60;
    e.run(HOURS(2.5));
    reachable(e, false);
    e.run(100 * DAY_MS);
    reachable(e, true);
    e.run(101 * DAY_MS);
    const kinds = results(e).map((r) => r.type);
    expect(kinds[0]).toBe(TestKind.Full);
    // Each 30 days after the previous test.
    expect(kinds.slice(1)).toEqual([TestKind.Brief, TestKind.Brief, TestKind.Brief]);
    expect(e.watch.violations).toEqual([]);
  });

  it('R31 a lost connection is reported by the broker, for which the controller leaves a last will (IEC 62034, 4.4.2, title V1)', () => {
    const e = circuit(TestKind.Brief);
    const packets = sentPackets(e);
    e.run(HOURS(1));
    const connects = packets.filter((packet) => packet.cmd === 'connect');
    expect(connects[0].will).toMatchObject({ topic: 'nightproof/estate/c1/presence', retain: true, qos: 1 });
    expect(JSON.parse(connects[0].will!.payload.toString())).toMatchObject({ online: 0 });
  });

  it('R31 a link that goes down during a test changes nothing about the test (IEC 62034, 4.4.2, title V1)', () => {
    const e = toDark(circuit(TestKind.Full)).run(WINDOW_MS + HOURS(0.5));
    reachable(e, false);
    e.run(WINDOW_MS + HOURS(2));
    reachable(e, true);
    e.run(WINDOW_MS + HOURS(3));
    expect(results(e).map((r) => [r.end, r.seconds])).toEqual([[Reason.Complete, 3600]]);
  });
});
