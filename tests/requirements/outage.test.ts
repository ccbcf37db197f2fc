// Requirements on real outages, alarms and batteries that are not full. Status marks: V1 read in primary
// text or an authority's page, V2 secondary restatement, M from memory, CP common practice without source.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../firmware/contract/codes';
import type { EventRecord } from '../../firmware/contract/messages';
import { HOURS, START_MS, WINDOW_MS } from '../simulator/estate';
import {
  allVoid,
  circuit,
  DAY_MS,
  happens,
  lit,
  onlyResult,
  results,
  runTo,
  sentPackets,
  slot,
  supplyEdges,
  toDark,
  verdicts,
} from './rig';

const MINUTE_MS = 60_000;
const kinds = (slots: number[][]) => ({ slots });

describe('a real outage while a test runs', () => {
  it('R34 releases the relay at once, leaves the luminaires lit and makes the test void (design; from memory of IEC 62034, M)', () => {
    for (const kind of [TestKind.Brief, TestKind.Full]) {
      const from = WINDOW_MS + 50_000;
      const e = toDark(happens(circuit(kind), 'outages', from, 600)).run(from + 1000);
      expect(e.node.plant.relay.driven).toBe(false);
      expect([e.node.plant.supplied, lit(e)]).toEqual([false, [true, true, true, true]]);
      e.run(from + 300_000);
      expect(lit(e)).toEqual([true, true, true, true]);
      expect(e.state?.phase).toBe(Phase.Outage);
      e.run(from + 700_000);
      const r = onlyResult(e);
      expect([r.end, verdicts(r)]).toEqual([Reason.Outage, allVoid(r, Reason.Outage)]);
      expect(e.node.plant.supplied).toBe(true);
    }
  });

  it('R34 does not count the test: it is still owed and is run another night (design, CP)', () => {
    const slots = [slot(1, TestKind.Brief), slot(1, TestKind.Brief, 2)];
    const e = happens(circuit(TestKind.Brief, kinds(slots)), 'outages', WINDOW_MS + 50_000, 600);
    e.run(WINDOW_MS + 3 * DAY_MS);
    expect(results(e).map((r) => r.end)).toEqual([Reason.Outage, Reason.Complete]);
    expect(e.of('overdue')).toEqual([]);
  });

  it('R34 restarts the 24 h of charge when the supply returns (design, M)', () => {
    const e = happens(circuit(TestKind.Brief), 'outages', WINDOW_MS + 50_000, 600);
    e.run(WINDOW_MS + 700_000);
    const back = START_MS / 1000 + (WINDOW_MS + 650_000) / 1000;
    expect(Math.abs((e.state?.charged ?? 0) - (back + 86_400))).toBeLessThanOrEqual(3);
  });

  it('R34 an outage in the very second of the opening prevents it, or ends the test void (design, CP)', () => {
    for (let ms = 9000; ms < 14_000; ms += 250) {
      const e = happens(circuit(TestKind.Brief), 'outages', WINDOW_MS + ms, 60).run(WINDOW_MS + 50_000);
      expect(e.node.plant.relay.driven).toBe(false);
      e.run(WINDOW_MS + 200_000);
      expect(e.watch.violations).toEqual([]);
      expect(results(e).length).toBe(e.of('intent').length);
      for (const r of results(e)) expect(r.end).toBe(Reason.Outage);
    }
  });
});

describe('a supply that flickers', () => {
  /** Dips of a quarter of a second every two seconds, each too short to count as an outage. */
  const flicker = (kind: TestKind, fromMs: number, seconds: number) => {
    const outages = Array.from({ length: seconds / 2 }, (_, i) => {
      const from = fromMs + i * 2000 + 100;
      return { from, to: from + 300 };
    });
    return circuit(kind, { spec: { outages } });
  };

  it('R34 a supply that dips again and again ends a running test void (design, CP)', () => {
    const e = flicker(TestKind.Full, WINDOW_MS + 300_000, 60).run(WINDOW_MS + HOURS(3));
    const r = onlyResult(e);
    expect([r.end, verdicts(r)]).toEqual([Reason.Outage, allVoid(r, Reason.Outage)]);
    expect(r.seconds).toBeLessThan(360);
  });

  it('R34 no test starts until a flickering supply is steady and the batteries have had a full recharge (design, CP)', () => {
    const e = flicker(TestKind.Brief, WINDOW_MS - 30_000, 600).run(WINDOW_MS + 500_000);
    expect(e.state?.waiting).toBe(Reason.UnsteadySupply);
    expect(e.node.plant.relay.drivenSince).toBe(0);
    const told = (e.of('supply') as EventRecord[]).map((r) => r.reason);
    expect(told).toEqual([Reason.UnsteadySupply]);
    const lastDip = WINDOW_MS - 30_000 + 598_000;
    e.run(lastDip + 700_000);
    expect(e.state?.waiting).toBe(Reason.StillRecharging);
    e.run(WINDOW_MS + HOURS(3));
    expect(e.node.plant.relay.drivenSince).toBe(0);
    expect(e.watch.violations).toEqual([]);
  });
});

describe('an outage while the batteries recharge', () => {
  it('R35 is recorded with its length, and the notice stays until 24 h without a break have passed (EN 50172:2004 for the risk, V2; design, CP)', () => {
    const from = WINDOW_MS + HOURS(6);
    const e = happens(circuit(TestKind.Full), 'outages', from, 1200);
    e.run(from);
    const before = e.state?.charged ?? 0;
    expect(before).toBeGreaterThan(0);
    e.run(from + HOURS(1));
    const [outage] = e.of('outage') as EventRecord[];
    const [supply] = e.of('supply') as EventRecord[];
    expect(Math.abs(outage.utc - (START_MS + from) / 1000)).toBeLessThanOrEqual(2);
    expect(Math.abs(supply.arg - 1200)).toBeLessThanOrEqual(2);
    expect(e.state?.phase).toBe(Phase.Recharging);
    const due = (START_MS + from + 1_200_000 + DAY_MS) / 1000;
    expect(Math.abs((e.state?.charged ?? 0) - due)).toBeLessThanOrEqual(3);
    expect(e.state?.charged).toBeGreaterThan(before);
    e.run(from + 1_200_000 + DAY_MS - MINUTE_MS);
    expect(e.state?.phase).toBe(Phase.Recharging);
    e.run(from + 1_200_000 + DAY_MS + MINUTE_MS);
    expect([e.state?.phase, e.state?.charged]).toEqual([Phase.Charged, 0]);
  });

  it('R35 no test, planned or ordered, opens the relay in the meantime (design, CP)', () => {
    const slots = [slot(1, TestKind.Full), slot(2, TestKind.Brief, 1)];
    const e = happens(circuit(TestKind.Full, kinds(slots)), 'outages', WINDOW_MS + HOURS(16), 60);
    e.run(WINDOW_MS + DAY_MS + HOURS(1));
    expect(e.state?.waiting).toBe(Reason.StillRecharging);
    e.order(OrderKind.Test, TestKind.Brief);
    e.run(WINDOW_MS + DAY_MS + HOURS(4));
    expect(e.replies.map((reply) => reply.reason)).toEqual([Reason.StillRecharging]);
    expect(results(e)).toHaveLength(1);
  });
});

describe('what users must know while batteries recharge', () => {
  it('R43 after a test the retained state says when the luminaires will be fully charged again (model form of a periodic certificate, V2)', () => {
    const e = circuit(TestKind.Full);
    const packets = sentPackets(e);
    e.run(WINDOW_MS + HOURS(2));
    const r = onlyResult(e);
    const back = r.started + r.seconds;
    const states = packets.filter((p) => p.cmd === 'publish' && p.topic.endsWith('/state'));
    expect(states.length).toBeGreaterThan(3);
    expect(states.every((p) => p.cmd === 'publish' && p.retain)).toBe(true);
    expect(e.state?.phase).toBe(Phase.Recharging);
    expect(Math.abs((e.state?.charged ?? 0) - (back + 86_400))).toBeLessThanOrEqual(3);
    e.run(WINDOW_MS + HOURS(27));
    expect(e.state?.charged).toBe(0);
  });
});

describe('neighbours', () => {
  const TWO_NIGHTS = [slot(1, TestKind.Full), slot(1, TestKind.Full, 1)];
  const ownNight = Math.floor((slot(1, TestKind.Full)[2] - 43_200) / 86_400);

  it('R09 a circuit refuses the nights on which its neighbours discharge or recharge, whatever plan it is given (EN 50172:2004 restated 2022, V2)', () => {
    for (const residue of [0, 1, 2]) {
      const e = circuit(TestKind.Full, { ...kinds(TWO_NIGHTS), settings: { cycle: 3, residue } });
      Object.assign(e.node.spec.rules, { cycle: 3, residue });
      e.run(WINDOW_MS + 3 * DAY_MS);
      const opened = results(e).map((r) => Math.floor((r.started - 43_200) / 86_400) - ownNight);
      const mine = [0, 1].filter((later) => (ownNight + later) % 3 === residue);
      expect(opened).toEqual(mine);
      expect(e.watch.violations).toEqual([]);
    }
  });

  it('R09 not even a signed order opens it on such a night, with a window open and all batteries full (EN 50172:2004 restated 2022, V2)', () => {
    const settings = { cycle: 2, residue: (ownNight + 1) % 2 };
    const e = circuit(TestKind.Full, { settings }).run(WINDOW_MS + HOURS(1));
    e.order(OrderKind.Test, TestKind.Brief);
    e.run(WINDOW_MS + HOURS(2));
    expect(e.replies.map((reply) => reply.reason)).toEqual([Reason.NotOwnNight]);
    expect(e.node.plant.relay.drivenSince).toBe(0);
  });
});

describe('the stop and fire alarm input', () => {
  it('R36 restores the supply within half a second in any test, and the result is void (design, CP)', () => {
    for (const kind of [TestKind.Brief, TestKind.Full, TestKind.Limited])
      for (const ms of [20_000, 41_111, 59_990]) {
        const at = WINDOW_MS + ms;
        const e = happens(circuit(kind), 'stops', at, 300).run(WINDOW_MS);
        const edges = supplyEdges(e, WINDOW_MS + HOURS(1));
        expect(edges).toHaveLength(2);
        expect(edges[1].at - at).toBeGreaterThanOrEqual(0);
        expect(edges[1].at - at).toBeLessThanOrEqual(500);
        const r = onlyResult(e);
        expect([r.end, verdicts(r)]).toEqual([Reason.StopInput, allVoid(r, Reason.StopInput)]);
        // The luminaires keep the charge they have left.
        expect(e.node.plant.luminaires.every((l) => l.battery.charge > 0.5)).toBe(true);
      }
  });

  it('R36 no test starts while it is active, and the one it ended waits for another night (design, CP)', () => {
    const waiting = happens(circuit(TestKind.Brief), 'stops', WINDOW_MS - MINUTE_MS, 4 * 3600);
    waiting.run(WINDOW_MS + HOURS(3));
    expect(waiting.state?.waiting).toBe(Reason.StopInput);
    expect(waiting.node.plant.relay.drivenSince).toBe(0);
    const e = toDark(circuit(TestKind.Brief, kinds([slot(1, TestKind.Brief), slot(1, TestKind.Brief, 1)])));
    happens(e, 'stops', e.fleet.now + 10_000, 5).run(WINDOW_MS + HOURS(10));
    expect(results(e).map((r) => r.end)).toEqual([Reason.StopInput]);
    runTo(e, () => results(e).length === 2, WINDOW_MS + DAY_MS + HOURS(1));
    expect(results(e)[1].end).toBe(Reason.Complete);
  });
});
