// Networks at their worst, for a simulated week with a test every night: the loop stands still only at rest,
// nothing is reset, and no test is missed.
import { describe, expect, it } from 'vitest';
import { Phase, TestKind, Verdict } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import type { ResultRecord } from '../../firmware/contract/messages';
import { LinkState } from '../../firmware/link/mqttState';
import { Turns } from '../../simulator/checkers/turns';
import type { FaultSpec } from '../../simulator/faults';
import { Estate, HOURS, WINDOW, WINDOW_MS } from './estate';

const NIGHTS = 7;
const MINUTES = (n: number) => n * 60_000;
const DAY_SEC = 86_400;
const WEEK_MS = WINDOW_MS + HOURS(24 * NIGHTS);

/** A brief test every night, and a duration test in the last. */
const SLOTS = Array.from({ length: NIGHTS }, (_, i) => {
  const kind = i === NIGHTS - 1 ? TestKind.Full : TestKind.Brief;
  return [i + 1, kind, WINDOW.start + i * DAY_SEC, WINDOW.end + i * DAY_SEC];
});

function week(...faults: FaultSpec[]): { estate: Estate; turns: Turns } {
  const estate = new Estate({ slots: SLOTS, spec: { faults }, keepAliveSec: 30 });
  const turns = new Turns();
  const watched = estate.watch.after.bind(estate.watch);
  estate.watch.after = (node, now) => {
    watched(node, now);
    turns.after(node, now);
  };
  return { estate, turns };
}

/** Runs the week and the hours in which what was kept is delivered. */
function expectAllTests({ estate, turns }: ReturnType<typeof week>): void {
  estate.run(WEEK_MS + HOURS(12));
  const results = estate.of('result') as ResultRecord[];
  expect(results.map((r) => r.test)).toEqual(SLOTS.map(([test]) => test));
  expect(results.map((r) => r.lamps.map(([verdict]) => verdict))).toEqual(
    SLOTS.map(() => Array(4).fill(Verdict.Pass)),
  );
  expect(estate.of('overdue')).toEqual([]);
  expect(turns.resets(estate.node)).toBe(0);
  expect([...turns.violations, ...estate.watch.violations]).toEqual([]);
}

describe('a week', () => {
  it('with the broker off: the loop stands still for 30 s at a time, and every test is made', () => {
    const all = week({ kind: 'broker off', at: HOURS(1), to: WEEK_MS });
    expectAllTests(all);
    expect(all.turns.longestMs).toBe(30_000 + Limit.LoopMs);
    expect(all.turns.stops).toBeGreaterThan(1000);
  });

  it('with a broker that takes 30 s to accept and drops the connection every hour', () => {
    const drops = Array.from({ length: 24 * NIGHTS }, (_, i): FaultSpec => {
      return { kind: 'broker off', at: HOURS(1 + i), to: HOURS(1 + i) + MINUTES(1) };
    });
    const all = week({ kind: 'slow connect', at: 0, to: WEEK_MS, stopMs: 30_000 }, ...drops);
    expectAllTests(all);
    expect(all.turns.stops).toBeGreaterThan(100);
    expect(all.turns.longestMs).toBe(30_000 + Limit.LoopMs);
  });

  it('with the access point off for two minutes at the start and for hours later', () => {
    const hours = Array.from({ length: NIGHTS }, (_, i): FaultSpec => {
      return { kind: 'access point off', at: HOURS(20 + 24 * i), to: HOURS(28 + 24 * i) };
    });
    const all = week({ kind: 'access point off', at: 0, to: MINUTES(2) }, ...hours);
    expectAllTests(all);
    expect(all.turns.stops).toBe(0);
  });
});

it('a connection that never comes back is ended by the watchdog, and the controller starts again', () => {
  const { estate, turns } = week({ kind: 'slow connect', at: 0, to: HOURS(1), stopMs: HOURS(10) });
  estate.run(HOURS(3));
  expect(turns.resets(estate.node)).toBeGreaterThan(10);
  expect(turns.longestMs).toBe(Limit.ConnectSec * 1000 + Limit.LoopMs);
  expect(estate.node.controller?.link.online).toBe(1);
  expect(estate.watch.violations).toEqual([]);
});

it('a connection lost in mid-test is not sought before the supply is proven back', () => {
  const lostAt = WINDOW_MS + MINUTES(1);
  const slots = [[1, TestKind.Full, WINDOW.start, WINDOW.end]];
  const faults: FaultSpec[] = [{ kind: 'broker off', at: lostAt, to: lostAt + MINUTES(4) }];
  const estate = new Estate({ slots, spec: { faults }, keepAliveSec: 30 });
  const { controller } = estate.node;
  estate.run(lostAt + MINUTES(10));
  expect(controller!.core.phase).toBe(Phase.Full);
  expect(controller!.link.mqtt.state).toBe(LinkState.Waiting);
  expect(estate.node.stop.from).toBe(-1);
  estate.run(lostAt + MINUTES(70));
  expect(controller!.link.mqtt.state).toBe(LinkState.Online);
  expect((estate.of('result') as ResultRecord[]).map((r) => r.test)).toEqual([1]);
  expect(estate.watch.violations).toEqual([]);
});
