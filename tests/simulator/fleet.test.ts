import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import { LampColumn } from '../../firmware/contract/lamps';
import type { ResultRecord } from '../../firmware/contract/messages';
import { type FaultSpec, plantFault } from '../../simulator/faults';
import { Trace } from '../../simulator/trace';
import { Estate, HOURS, START_MS, WINDOW, WINDOW_MS } from './estate';

const BRIEF = [[1, TestKind.Brief, WINDOW.start, WINDOW.end]];
const FULL = [[1, TestKind.Full, WINDOW.start, WINDOW.end]];

/** Result of one test with this fault planted. */
function resultWith(faults: FaultSpec | FaultSpec[], slots = BRIEF): ResultRecord {
  const e = new Estate({ slots, spec: { faults: [faults].flat() }, noise: true }).run(WINDOW_MS + HOURS(3));
  expect(e.watch.violations).toEqual([]);
  return e.of('result')[0] as ResultRecord;
}

const rows = (r: ResultRecord) => r.lamps.map((lamp) => lamp.slice(0, 2));
const PASS = [Verdict.Pass, Reason.None];

describe('the simulation', () => {
  it('is the same to the byte for the same seed, and another for another', () => {
    const run = (seed: number) =>
      new Estate({ slots: FULL, noise: true, seed }).run(WINDOW_MS + HOURS(2)).records;
    expect(run(1)).toEqual(run(1));
    expect(run(1)).not.toEqual(run(2));
  });

  it('gives the same result whether it is run in one go or in pieces', () => {
    const whole = new Estate({ slots: BRIEF, noise: true }).run(WINDOW_MS + HOURS(2));
    const pieces = new Estate({ slots: BRIEF, noise: true });
    for (let at = 0; at <= WINDOW_MS + HOURS(2); at += 777_777) pieces.run(at);
    pieces.run(WINDOW_MS + HOURS(2));
    expect(pieces.records).toEqual(whole.records);
  });

  it('begins with what happens at its first instant', () => {
    const e = new Estate({ slots: BRIEF, spec: { faults: [{ kind: 'reset', at: 0 }] } });
    expect(e.run(WINDOW_MS + HOURS(2)).of('result')).toHaveLength(1);
    expect(e.of('start')).toHaveLength(2);
  });

  it('leaves a board without power at rest', () => {
    const e = new Estate({ slots: BRIEF }).run(WINDOW_MS + 40_000);
    expect(e.node.plant.relay.open).toBe(true);
    e.node.powerOff();
    e.fleet.schedule(e.node);
    e.run(WINDOW_MS + 42_000);
    expect([e.node.plant.relay.open, e.node.plant.supplied]).toEqual([false, true]);
    e.run(WINDOW_MS + HOURS(30));
    expect(e.of('result')).toHaveLength(0);
  });
});

describe('the discharge of a fleet that skips what changes nothing', () => {
  const at = WINDOW_MS + HOURS(0.5);
  it.each<[string, FaultSpec[]]>([
    ['a quiet test', []],
    ['a battery that ends early', [{ kind: 'aged battery', luminaire: 'l0', at: 0, lastsMs: 1_500_000 }]],
    ['an outage', [{ kind: 'supply outage', at, to: at + 400_000 }]],
    ['a coil that breaks', [{ kind: 'coil open', at: at + 70, repairedAt: at + 90_000 }]],
    ['a contact that chatters', [{ kind: 'relay bounces', at: 0, repairedAt: 10 * at, bounceMs: 2500 }]],
    ['a reset', [{ kind: 'reset', at: at + 110 }]],
    ['somebody in the area', [{ kind: 'person at night', at: at + 10, to: at + 5000 }]],
  ])('is the same in a tight loop as turn by turn, and checked as often: %s', (_what, faults) => {
    const outcome = (isTraced: boolean) => {
      const e = new Estate({ slots: FULL, noise: true, isSparing: true, spec: { faults } });
      if (isTraced) e.node.trace = new Trace();
      // An order in the middle of the discharge, and its record.
      e.run(at + 123_456).order(OrderKind.Extend, 60);
      e.run(WINDOW_MS + HOURS(4));
      const { core } = e.node.controller ?? {};
      const { readings, luminaires } = e.node.plant;
      const { events } = e.fleet;
      const { records, watch } = e;
      return structuredClone({ core, readings, luminaires, events, records, violations: watch.violations });
    };
    const one = outcome(false);
    expect(one).toEqual(outcome(true));
    expect(one.records.length).toBeGreaterThan(3);
  });
});

describe('a planted fault is found with its own reason', () => {
  it('a dead lamp', () => {
    const r = resultWith({ kind: 'dead lamp', luminaire: 'l2', at: 0 });
    expect(rows(r)).toEqual([PASS, PASS, [Verdict.Fail, Reason.NotLitAtFiveSeconds], PASS]);
  });

  it('an aged battery, at the minute it gives out', () => {
    const r = resultWith({ kind: 'aged battery', luminaire: 'l0', at: 0, lastsMs: 41 * 60_000 }, FULL);
    expect(rows(r)[0]).toEqual([Verdict.Fail, Reason.EndedEarly]);
    expect(Math.abs(r.lamps[0][2] - 41 * 60)).toBeLessThanOrEqual(1);
    expect(rows(r).slice(1)).toEqual([PASS, PASS, PASS]);
  });

  it('a charger that has been dead for long', () => {
    // Off charge, the battery loses a third of a percent a day: it has to be discharged first.
    const slots = [
      [1, TestKind.Full, WINDOW.start, WINDOW.end],
      [2, TestKind.Full, WINDOW.start + 3 * 86_400, WINDOW.end + 3 * 86_400],
    ];
    const faults: FaultSpec[] = [{ kind: 'charger dead', luminaire: 'l3', at: 0 }];
    const e = new Estate({ slots, spec: { faults } }).run(WINDOW_MS + HOURS(80));
    const [before, after] = e.of('result') as ResultRecord[];
    expect(rows(before)[3]).toEqual(PASS);
    expect(rows(after)[3]).toEqual([Verdict.Fail, Reason.EndedEarly]);
    expect(e.watch.violations).toEqual([]);
  });

  it('a sensor that drifts', () => {
    const r = resultWith({ kind: 'sensor drift', luminaire: 'l0', at: 0, milliampsPerDay: 60 });
    expect(rows(r)).toEqual([[Verdict.Void, Reason.SensorOffset], PASS, PASS, PASS]);
  });

  it.each([[BRIEF], [FULL]])('a maintained lamp that is fed from elsewhere', (slots) => {
    const r = resultWith({ kind: 'fed from elsewhere', luminaire: 'l1', at: 0 }, slots);
    expect(rows(r)).toEqual([PASS, [Verdict.Void, Reason.StayedOnMains], PASS, PASS]);
  });

  it('two lamps on one sensor', () => {
    const r = resultWith({ kind: 'sensor shared', luminaire: 'l3', from: 'l0', at: 0 });
    expect(rows(r)).toEqual([PASS, PASS, PASS, [Verdict.Void, Reason.TooMuchCurrent]]);
  });

  it('a lamp that glows on mains and is dead on battery', () => {
    const faults: FaultSpec[] = [
      { kind: 'glows on mains', luminaire: 'l0', at: 0, milliamps: 80 },
      { kind: 'battery open', luminaire: 'l0', at: 0 },
    ];
    expect(rows(resultWith(faults))).toEqual([[Verdict.Fail, Reason.NotLitAtFiveSeconds], PASS, PASS, PASS]);
  });

  it('a relay welded closed', () => {
    const r = resultWith({ kind: 'relay stuck closed', at: 0, repairedAt: HOURS(1000) });
    expect(r.end).toBe(Reason.RelayStuckClosed);
    expect(rows(r)).toEqual([0, 1, 2, 3].map(() => [Verdict.Void, Reason.RelayStuckClosed]));
  });

  it('a relay that sticks open, with the red lamp lit', () => {
    const faults: FaultSpec[] = [
      { kind: 'relay sticks open', at: 0, stickMs: 120_000, repairedAt: HOURS(1000) },
    ];
    const e = new Estate({ slots: BRIEF, spec: { faults } }).run(WINDOW_MS + 120_000);
    expect([e.node.controller?.core.reason, e.node.red]).toEqual([Reason.RelayStuckOpen, 1]);
    e.run(WINDOW_MS + HOURS(1));
    expect((e.of('result')[0] as ResultRecord).restoreMs).toBe(-1);
    expect(e.of().map((r) => r.kind)).toEqual(['start', 'intent', 'result', 'fault', 'supply']);
    expect(e.watch.violations).toEqual([]);
  });
});

describe('the watch', () => {
  /** Runs on after `prepare` has tampered with the controller. @returns what the watch reported */
  function cheat(prepare: (e: Estate) => void, from: number, until: number): string[] {
    const e = new Estate({ slots: BRIEF, noise: true }).run(from);
    prepare(e);
    e.fleet.schedule(e.node);
    e.run(until);
    return e.watch.violations.map((sentence) => sentence.replace(/^.*?Z: /, ''));
  }

  it('sees an opening outside the window, before the recharge and without a claim to it', () => {
    const said = cheat(
      (e) => {
        const core = e.node.controller!.core;
        core.drive = 1;
        core.leaseUntil = e.fleet.now + 3000;
        core.wakeAt = e.fleet.now + 250;
        core.phase = Phase.Charged;
      },
      HOURS(10),
      HOURS(10) + 2000,
    );
    expect(said).toContain('I2 opened outside a permitted window');
    expect(said.some((sentence) => sentence.startsWith('I1 the coil is held only'))).toBe(true);
  });

  it('sees an opening that lasts too long', () => {
    const said = cheat(
      (e) => {
        const { core } = e.node.controller!;
        core.limitMs = HOURS(1);
        // Keeps the controller itself from seeing anything wrong.
        core.set.briefCapSec = 3600;
      },
      WINDOW_MS + 30_000,
      WINDOW_MS + HOURS(0.5),
    );
    expect(said.some((sentence) => sentence.startsWith('I1 the relay has been held open'))).toBe(true);
  });

  it('sees a pass of a lamp that was dark', () => {
    const said = cheat(
      (e) => {
        const { core } = e.node.controller!;
        plantFault(e.node, { kind: 'dead lamp', luminaire: 'l0', at: e.fleet.now });
        core.verdict[0] = Verdict.Pass;
      },
      WINDOW_MS + 30_000,
      WINDOW_MS + HOURS(0.5),
    );
    expect(said).toContain('I8 l0 passed but was dark');
  });

  it.each([
    [
      { kind: 'fed from elsewhere', luminaire: 'l1' },
      1,
      LampColumn.Battery,
      300,
      'I8 l1 passed but was dark',
    ],
    [
      { kind: 'sensor shared', luminaire: 'l3', from: 'l0' },
      ...([3, LampColumn.Battery, 400, 'I8 l3 passed by the current of two lamps'] as const),
    ],
  ] as const)(
    'sees a pass of a lamp that was not tested: $kind',
    (fault, place, column, believed, sentence) => {
      const said = cheat(
        (e) => {
          plantFault(e.node, { ...fault, at: e.fleet.now });
          // It believes in a current at which nothing can be told.
          e.node.controller!.core.set.lamps[place * LampColumn.Count + column] = believed;
        },
        WINDOW_MS - 100_000,
        WINDOW_MS + HOURS(0.5),
      );
      expect(said).toContain(sentence);
    },
  );

  it('detects missing supply without a red lamp', () => {
    const said = cheat(
      (e) => {
        e.node.plant.relay.sticks.push({ from: 0, to: HOURS(99), stickMs: HOURS(1), freesAfter: 0 });
        Object.defineProperty(e.node, 'red', { get: () => 0, set: () => {} });
      },
      WINDOW_MS + 30_000,
      WINDOW_MS + HOURS(0.5),
    );
    expect(said).toContain('I6 the supply is not back and the red lamp is dark');
  });

  it('says when and where', () => {
    const e = new Estate({ slots: BRIEF }).run(WINDOW_MS + 30_000);
    e.node.controller!.core.limitMs = HOURS(1);
    e.run(WINDOW_MS + HOURS(0.2));
    const at = new Date(START_MS + WINDOW_MS).toISOString().slice(0, 11);
    expect(e.watch.violations[0].startsWith(`c1 at ${at}`)).toBe(true);
  });
});
