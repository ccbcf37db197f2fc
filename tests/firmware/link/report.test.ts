import { describe, expect, it } from 'vitest';
import { ClockTrust, Phase, Reason, TestKind } from '../../../firmware/contract/codes';
import { liveText, replyText, stateText } from '../../../firmware/link/report';
import { Bench, IN_WINDOW, lampOf, START } from '../core/bench';
import { Door } from './door';

function state(b: Bench): Record<string, number> {
  const d = new Door(b);
  return JSON.parse(`${stateText(b.s, d.inbox.journal, 3, b.now)}}`);
}

describe('the state message', () => {
  it('describes a circuit at rest', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    expect(state(b)).toMatchObject({
      v: 1,
      journal: 'aaaa0001',
      boot: 1,
      up: IN_WINDOW,
      utc: START + IN_WINDOW / 1000,
      clock: ClockTrust.Synchronised,
      phase: Phase.Charged,
      reason: 0,
      waiting: 0,
      bits: 3,
      test: 0,
      type: 0,
      since: 0,
      charged: 0,
      settings: 1,
      plan: 1,
      refused: 3,
    });
  });

  it('describes a running test: its start, the relay open and the red lamp lit', () => {
    const b = new Bench({ fitted: 2 }).planned(TestKind.Brief).runToDischarge();
    b.change({ occupied: 1 }).run(b.now + 5000);
    const s = state(b);
    expect(s).toMatchObject({
      phase: Phase.Brief,
      test: 1,
      type: TestKind.Brief,
      bits: 1 + 4 + 8 + 16,
      charged: 0,
    });
    expect(s.since).toBe(START + Math.floor(b.drives[0].at / 1000));
  });

  it('says when full autonomy is expected back, and why a due test is waiting', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW + 300_000);
    const charged = START + Math.floor((b.drives[1].at + 250 + 3_600_000) / 1000);
    expect(state(b)).toMatchObject({ phase: Phase.Recharging, charged });
    const held = new Bench()
      .planned(TestKind.Brief)
      .change({ stop: 1 })
      .run(IN_WINDOW + 60_000);
    expect(state(held)).toMatchObject({ phase: Phase.Charged, waiting: Reason.StopInput });
  });

  it('gives a fault with its reason', () => {
    const b = new Bench().plan([]).run(IN_WINDOW).change({ contact: 'open' });
    b.run(b.now + 10_000);
    expect(state(b)).toMatchObject({ phase: Phase.Fault, reason: Reason.SupplyLost, bits: 1 + 8 });
  });

  it('reports second 0 if the clock was never set', () => {
    const b = new Bench({}, false).run(IN_WINDOW);
    expect(state(b)).toMatchObject({ utc: 0, clock: ClockTrust.NeverSet });
  });
});

it('reports the readings of a running test, offset removed, with the verdicts so far', () => {
  const b = new Bench().planned(TestKind.Brief);
  b.lamps[0] = (ms) => 20 + lampOf(0)(ms);
  b.lamps[3] = lampOf(3, 0);
  b.runToDischarge().run(b.now + 30_000);
  expect(JSON.parse(liveText(b.s, b.now))).toEqual({
    v: 1,
    test: 1,
    type: TestKind.Brief,
    t: Math.floor((b.now - b.s.t0) / 1000),
    ma: [200, 200, 200, 0],
    verdict: [0, 0, 0, 2],
  });
});

it('answers an order with its counter and the reason against it', () => {
  expect(JSON.parse(`${replyText(9, 0)}}`)).toEqual({ v: 1, counter: 9, ok: 1, reason: 0 });
  expect(JSON.parse(`${replyText(9, Reason.Stale)}}`)).toEqual({
    v: 1,
    counter: 9,
    ok: 0,
    reason: Reason.Stale,
  });
});
