// A year without host or network, in which the building loses its power twenty times: with a clock chip every
// due test is made in its own window, by the true time of day; without one none is made, and the controller
// says so wherever it can.
import { describe, expect, it } from 'vitest';
import { ClockTrust, Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import type { AnyRecord, EventRecord, ResultRecord } from '../../firmware/contract/messages';
import { utcAt } from '../../firmware/core/clock';
import { type FaultSpec, plantFault } from '../../simulator/faults';
import { fork, nextUnit } from '../../simulator/random';
import { runs } from '../support/depth';
import { Estate, HOURS, SETTINGS, START_MS } from './estate';

const DAY_MS = HOURS(24);
const START = START_MS / 1000;
/** Host and network are gone from here on. */
const ALONE_MS = 3 * DAY_MS;
const END_MS = ALONE_MS + 365 * DAY_MS;
const CUTS = 20;

/** Three nights for each test of the plan, which ends after 300 days: a function test every 28 days, and one duration test. */
const TESTS = [4, 32, 60, 88, 116, 144, 172, 200, 228, 256, 284].map((day, i) => ({
  test: i + 1,
  kind: i === 5 ? TestKind.Full : TestKind.Brief,
  nights: [day, day + 3, day + 6].map((night) => START + night * 86_400 + 3600),
}));
const SLOTS = TESTS.flatMap(({ test, kind, nights }) =>
  nights.map((from) => [test, kind, from, from + 18_000]),
);

/** Openings, by their number, that are cut short 20 s after they began. */
const CUT_SHORT = [1, 4, 6, 9];

/** Board and luminaires lose their supply. */
function cut(at: number, lengthMs: number): FaultSpec[] {
  const span = { at: Math.floor(at), to: Math.floor(at + lengthMs) };
  return [
    { kind: 'power cut', ...span },
    { kind: 'supply outage', ...span },
  ];
}

/** The other cuts: at random, each third for many hours. */
function cuts(seed: number): FaultSpec[] {
  const r = fork(seed, 'power cuts');
  return Array.from({ length: CUTS - CUT_SHORT.length }, (_, i) => {
    const at = ALONE_MS + nextUnit(r) * (END_MS - ALONE_MS - 10 * DAY_MS);
    return cut(at, HOURS(i % 3 === 0 ? 1 + 30 * nextUnit(r) : 0.02 + nextUnit(r)));
  }).flat();
}

interface Year {
  estate: Estate;
  written: AnyRecord[];
  /** True instants at which the relay was driven to open, UTC s. */
  openings: number[];
}

function year(seed: number, clockChip?: { ppm: number }, more: FaultSpec[] = []): Year {
  const faults: FaultSpec[] = [
    { kind: 'network partition', at: ALONE_MS, to: END_MS + DAY_MS },
    { kind: 'clock drift', at: 1000, repairedAt: END_MS + DAY_MS, ppm: seed % 2 ? 90 : -90 },
    ...cuts(seed),
    ...more,
  ];
  const estate = new Estate({
    slots: SLOTS,
    seed,
    isSparing: true,
    spec: { faults, ...(clockChip && { clockChip }) },
  });
  const written: AnyRecord[] = [];
  const openings: number[] = [];
  estate.node.flash.onAppend = (text) => {
    const record = text.slice(text.indexOf('{'));
    if (record.includes('"kind":')) written.push(JSON.parse(record));
  };
  const watched = estate.watch.after.bind(estate.watch);
  let was = false;
  estate.watch.after = (node, now) => {
    watched(node, now);
    const { driven } = node.plant.relay;
    if (driven && !was) {
      if (CUT_SHORT.includes(openings.length))
        for (const fault of cut(now + 20_000, HOURS(0.5))) plantFault(node, fault);
      openings.push(START + now / 1000);
    }
    was = driven;
  };
  estate.run(END_MS);
  return { estate, written, openings };
}

/** Whether a result counts: every luminaire was judged. */
function isComplete(r: AnyRecord): r is ResultRecord {
  return r.kind === 'result' && r.lamps.every(([verdict]) => verdict !== Verdict.Void);
}

/** Tests of the plan that were completed in one of their own windows, as true time has it. */
function doneInTime({ written, openings }: Year): number[] {
  const results = written.filter(isComplete).filter((r) => r.plan === 1);
  return TESTS.filter(({ test, nights }) =>
    results.some((r) => {
      const isOwn = (at: number) => nights.some((from) => at >= from && at + r.seconds <= from + 18_000);
      // The chip may be off by minutes, so the true instant is the opening's.
      return r.test === test && openings.some((at) => Math.abs(at - r.started) < 1000 && isOwn(at));
    }),
  ).map(({ test }) => test);
}

const SEEDS = Array.from({ length: runs(5) }, (_, i) => i + 1);

describe('a year without host and network, with twenty power cuts', () => {
  it.each(SEEDS)('with a clock chip makes every due test in its own window (seed %i)', (seed) => {
    const run = year(seed, { ppm: seed % 2 ? 19 : -19 });
    expect(run.estate.watch.violations).toEqual([]);
    expect(doneInTime(run)).toEqual(TESTS.map(({ test }) => test));
    // After the plan, the fallback schedule in its window of the night, counted from the last test.
    const later = run.written.filter(isComplete).filter((r) => r.plan === 0);
    expect(later.length).toBeGreaterThanOrEqual(1);
    for (const r of later) {
      const at = run.openings.find((one) => Math.abs(one - r.started) < 1000) as number;
      const second = at % 86_400;
      expect(second).toBeGreaterThanOrEqual(SETTINGS.fallbackFrom);
      expect(second + r.seconds).toBeLessThanOrEqual(SETTINGS.fallbackFrom + SETTINGS.fallbackSec);
    }
    expect(run.written.filter((r) => r.kind === 'overdue')).toEqual([]);
    // Each cut was a restart (the first start comes before this list), and the clock ran on.
    const starts = run.written.filter((r) => r.kind === 'start');
    expect(starts).toHaveLength(CUTS);
    const short = run.written.filter((r) => r.kind === 'result' && r.end === Reason.Reset);
    expect(short).toHaveLength(CUT_SHORT.length);
    for (const start of starts) expect(start.clock).toBe(ClockTrust.Coasting);
    const { node, fleet } = run.estate;
    const off = utcAt(node.controller!.core, node.boardNow()) - fleet.utcMs() / 1000;
    expect(Math.abs(off)).toBeLessThan(1000);
  });

  it.each(SEEDS.slice(0, 2))('without one makes none, and says so everywhere (seed %i)', (seed) => {
    const { estate, written, openings } = year(seed);
    const firstCut = Math.min(...cuts(seed).map(({ at }) => at)) / 1000 + START;
    expect(openings.filter((at) => at > firstCut)).toEqual([]);
    const core = estate.node.controller!.core;
    expect([core.clockSet, core.waiting]).toEqual([0, Reason.ClockUntrusted]);
    // A record after a day, and then every week, of each stretch between two cuts.
    const told = (written as EventRecord[]).filter((r) => r.kind === 'overdue');
    expect(told.every((r) => r.reason === Reason.ClockUntrusted && r.utc === 0)).toBe(true);
    expect(told.length).toBeGreaterThan(20);
    expect(told.length).toBeLessThan(80);
  });

  it('with a chip whose cell is empty is as without one, and not by a false time', () => {
    const firstCut = Math.min(...cuts(1).map(({ at }) => at));
    const { estate, openings } = year(1, { ppm: 0 }, [{ kind: 'clock chip empty', at: firstCut + 1000 }]);
    expect(openings.filter((at) => (at - START) * 1000 > firstCut)).toEqual([]);
    expect(estate.node.controller!.core.waiting).toBe(Reason.ClockUntrusted);
  });
});
