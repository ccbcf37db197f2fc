// Every kind of fault, planted into one circuit during a night with a full test: each has an effect, none
// breaks an invariant, and any that shows in the result shows there under its own reason.
import { describe, expect, it } from 'vitest';
import { Ending, Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import type { ResultRecord } from '../../firmware/contract/messages';
import { clockErrorSec } from '../../firmware/core/clock';
import { FAULT_KINDS, type FaultKind, type FaultSpec } from '../../simulator/faults';
import { chargingMilliamps } from '../../simulator/plant/luminaire';
import { Estate, HOURS, WINDOW, WINDOW_MS } from './estate';

const MINUTES = (n: number) => n * 60_000;
const FULL = [[1, TestKind.Full, WINDOW.start, WINDOW.end]];
/** In the middle of the test. */
const at = WINDOW_MS + MINUTES(10);
const luminaire = 'l0';
const repairedAt = at + HOURS(30);
const to = at + MINUTES(3);

const EXAMPLES: { [kind in FaultKind]: Extract<FaultSpec, { kind: kind }> } = {
  'dead lamp': { kind: 'dead lamp', luminaire, at, repairedAt },
  'battery open': { kind: 'battery open', luminaire, at, repairedAt },
  'aged battery': { kind: 'aged battery', luminaire, at, repairedAt, lastsMs: MINUTES(20) },
  'charger dead': { kind: 'charger dead', luminaire, at, repairedAt },
  'slow start': { kind: 'slow start', luminaire, at: 0, slowMs: 9000 },
  'dim lamp': { kind: 'dim lamp', luminaire, at, repairedAt, output: 0.6 },
  'glows on mains': { kind: 'glows on mains', luminaire, at: 0, repairedAt, milliamps: 80 },
  'fed from elsewhere': { kind: 'fed from elsewhere', luminaire, at: 0, repairedAt },
  'sensor open': { kind: 'sensor open', luminaire, at, repairedAt },
  'sensor short': { kind: 'sensor short', luminaire, at, repairedAt },
  'sensor saturated': { kind: 'sensor saturated', luminaire, at, repairedAt },
  'sensor stuck': { kind: 'sensor stuck', luminaire, at, repairedAt },
  'sensor offset': { kind: 'sensor offset', luminaire, at, repairedAt, milliamps: -90 },
  'sensor drift': { kind: 'sensor drift', luminaire, at: 0, repairedAt, milliampsPerDay: 60 },
  'sensor noise': { kind: 'sensor noise', luminaire, at, repairedAt, milliamps: 80 },
  'sensor cross-talk': { kind: 'sensor cross-talk', luminaire, at: 0, repairedAt, from: 'l1', share: 0.4 },
  'sensor shared': { kind: 'sensor shared', luminaire, at: 0, repairedAt, from: 'l3' },
  'module silent': { kind: 'module silent', luminaire, at, repairedAt },
  'module slow': { kind: 'module slow', luminaire, at, repairedAt, lateMs: 220 },
  'module clash': { kind: 'module clash', luminaire, at, repairedAt },
  'circuit charger dead': { kind: 'circuit charger dead', at, repairedAt },
  'relay stuck closed': { kind: 'relay stuck closed', at: 0, repairedAt },
  'relay sticks open': { kind: 'relay sticks open', at, repairedAt, stickMs: MINUTES(4) },
  'relay sticks until exercised': { kind: 'relay sticks until exercised', at, repairedAt, exercises: 2 },
  'relay bounces': { kind: 'relay bounces', at: 0, repairedAt, bounceMs: 700 },
  'coil open': { kind: 'coil open', at, repairedAt },
  'guard fails': { kind: 'guard fails', at, repairedAt, ending: Ending.StopsLow },
  'supply outage': { kind: 'supply outage', at, to },
  'supply dip': { kind: 'supply dip', at, lengthMs: 800 },
  'brown-out': { kind: 'brown-out', at, to, everyMs: 900, lowMs: 300 },
  'inrush trip': { kind: 'inrush trip', at, offMs: HOURS(1) },
  'bus cut': { kind: 'bus cut', at, repairedAt },
  'bus noise': { kind: 'bus noise', at, repairedAt, share: 1 },
  'key left turned': { kind: 'key left turned', at, to },
  'stop pressed': { kind: 'stop pressed', at, to },
  'person at night': { kind: 'person at night', at, to },
  'power cut': { kind: 'power cut', at, to },
  reset: { kind: 'reset', at },
  'burst of resets': { kind: 'burst of resets', at, count: 5, everyMs: 7000 },
  'program hangs': { kind: 'program hangs', at, to },
  'clock drift': { kind: 'clock drift', at, repairedAt, ppm: 90 },
  'clock jump': { kind: 'clock jump', at, to: to + HOURS(24), jumpMs: 9000 },
  'clock loss': { kind: 'clock loss', at, to: to + HOURS(24) },
  'clock chip empty': { kind: 'clock chip empty', at },
  'clock chip jumps': { kind: 'clock chip jumps', at, jumpMs: HOURS(2) },
  'clock chip drift': { kind: 'clock chip drift', at, repairedAt, ppm: 5000 },
  'clock chip silent': { kind: 'clock chip silent', at, repairedAt },
  'clock chip rubbish': { kind: 'clock chip rubbish', at, repairedAt },
  'program damaged': { kind: 'program damaged', at, repairedAt },
  'memory damaged': { kind: 'memory damaged', at, repairedAt },
  'converter broken': { kind: 'converter broken', at, repairedAt },
  'torn write': { kind: 'torn write', at, bytes: 40 },
  'worn flash': { kind: 'worn flash', at, repairedAt },
  'lying write': { kind: 'lying write', at, repairedAt },
  'denied write': { kind: 'denied write', at, repairedAt },
  'unreadable flash': { kind: 'unreadable flash', at: WINDOW_MS + MINUTES(55), to: WINDOW_MS + MINUTES(70) },
  'network loss': { kind: 'network loss', at: 0, to: repairedAt, share: 0.4 },
  'network duplication': { kind: 'network duplication', at: 0, to: repairedAt, share: 0.5 },
  'network delay': { kind: 'network delay', at: 0, to: repairedAt, delayMs: 900 },
  'network reordering': { kind: 'network reordering', at: 0, to: repairedAt, delayMs: 4000 },
  'network partition': { kind: 'network partition', at, to: to + HOURS(2) },
  'slow connect': { kind: 'slow connect', at: 0, to: repairedAt, stopMs: 30_000 },
  'broker off': { kind: 'broker off', at, to: to + HOURS(2) },
  'access point off': { kind: 'access point off', at, to: to + HOURS(2) },
};

/** End of the test, verdict and reason of the first luminaire, for faults that show in the result. */
const SEEN: { [kind in FaultKind]?: [Reason, Verdict, Reason] } = {
  'dead lamp': [Reason.Complete, Verdict.Fail, Reason.EndedEarly],
  'battery open': [Reason.Complete, Verdict.Fail, Reason.EndedEarly],
  'aged battery': [Reason.Complete, Verdict.Fail, Reason.EndedEarly],
  'slow start': [Reason.Complete, Verdict.Fail, Reason.NotLitAtFiveSeconds],
  'dim lamp': [Reason.Complete, Verdict.Fail, Reason.EndedEarly],
  'glows on mains': [Reason.Complete, Verdict.Void, Reason.SensorOffset],
  'fed from elsewhere': [Reason.Complete, Verdict.Fail, Reason.NotLitAtFiveSeconds],
  'sensor open': [Reason.Complete, Verdict.Void, Reason.SensorRange],
  'sensor saturated': [Reason.Complete, Verdict.Void, Reason.SensorRange],
  'sensor short': [Reason.Complete, Verdict.Fail, Reason.EndedEarly],
  'sensor offset': [Reason.Complete, Verdict.Fail, Reason.EndedEarly],
  'sensor drift': [Reason.Complete, Verdict.Void, Reason.SensorOffset],
  'sensor noise': [Reason.Complete, Verdict.Pass, Reason.None],
  'sensor cross-talk': [Reason.Complete, Verdict.Void, Reason.SensorOffset],
  'sensor shared': [Reason.Complete, Verdict.Void, Reason.TooMuchCurrent],
  'module silent': [Reason.Complete, Verdict.Void, Reason.SensorSilent],
  'module slow': [Reason.Complete, Verdict.Void, Reason.SensorSlow],
  'module clash': [Reason.Complete, Verdict.Void, Reason.SensorClash],
  'bus cut': [Reason.SensorSilent, Verdict.Void, Reason.SensorSilent],
  'bus noise': [Reason.SensorGarbled, Verdict.Void, Reason.SensorGarbled],
  'relay stuck closed': [Reason.RelayStuckClosed, Verdict.Void, Reason.RelayStuckClosed],
  'coil open': [Reason.RelayFellBack, Verdict.Void, Reason.RelayFellBack],
  'supply outage': [Reason.Outage, Verdict.Void, Reason.Outage],
  'supply dip': [Reason.Outage, Verdict.Void, Reason.Outage],
  'brown-out': [Reason.Outage, Verdict.Void, Reason.Outage],
  'key left turned': [Reason.KeyHold, Verdict.Void, Reason.KeyHold],
  'stop pressed': [Reason.StopInput, Verdict.Void, Reason.StopInput],
  'person at night': [Reason.Occupied, Verdict.Void, Reason.Occupied],
  'power cut': [Reason.Reset, Verdict.Void, Reason.Reset],
  reset: [Reason.Reset, Verdict.Void, Reason.Reset],
  'burst of resets': [Reason.Reset, Verdict.Void, Reason.Reset],
  'program hangs': [Reason.Reset, Verdict.Void, Reason.Reset],
  'converter broken': [Reason.SensorRange, Verdict.Void, Reason.SensorRange],
  'torn write': [Reason.Reset, Verdict.Void, Reason.Reset],
};
/** Faults that only a circuit on a bus can have. */
const OF_BUS = (kind: FaultKind): boolean => kind.startsWith('bus') || kind.startsWith('module');
const PASSED = [Reason.Complete, Verdict.Pass, Reason.None];

interface Night {
  /** State of plant and host, every few minutes during the test and for hours after it. */
  looks: string[];
  result: ResultRecord;
}

/** @param isOnBus the lamps are read by modules on a bus, at the slowest speed */
function night(faults: FaultSpec[], isSparing = false, isOnBus = faults.some((f) => OF_BUS(f.kind))): Night {
  // A shared circuit, so that people matter.
  const settings = { shared: 1, emptySec: 60 };
  const e = new Estate({
    slots: FULL,
    noise: true,
    settings,
    isSparing,
    spec: { faults, clockChip: { ppm: 0 }, ...(isOnBus && { bus: { baud: 9600 } }) },
  });
  const { node, fleet } = e;
  const looks: string[] = [];
  let [moves, was] = [0, false];
  const watched = e.watch.after.bind(e.watch);
  e.watch.after = (looked, now) => {
    watched(looked, now);
    if (node.plant.relay.open !== was) moves++;
    was = node.plant.relay.open;
  };
  const look = () => {
    const told = [e.records.length, e.live.length, e.live.at(-1), e.states.length];
    const core = node.controller?.core;
    const clock = core && [node.boardNow() + node.bootAt - fleet.now, clockErrorSec(core, node.boardNow())];
    const charges = node.plant.luminaires.map((l) => chargingMilliamps(l, fleet.now));
    looks.push(JSON.stringify([told, clock, charges, moves, node.red, node.plant.supplied]));
  };
  for (let ms = 0; ms < HOURS(2); ms += MINUTES(5.01)) {
    e.run(WINDOW_MS + ms);
    look();
  }
  for (let ms = HOURS(3); ms < HOURS(60); ms += HOURS(3)) {
    e.run(WINDOW_MS + ms);
    look();
  }
  expect(e.watch.violations).toEqual([]);
  // A record that arrived early, because the broker lost the one before it, was sent again in order.
  for (const text of e.refused) expect(e.records).toContain(text);
  expect(e.of('result')).toHaveLength(1);
  return { looks, result: e.of('result')[0] as ResultRecord };
}

describe('a night with a full test', () => {
  const fair = night([]);
  const fairOnBus = night([], false, true);

  it.each([
    ['the converter', fair],
    ['a bus', fairOnBus],
  ])('passes every luminaire when nothing is planted, read by %s', (_, { result }) => {
    expect(result.lamps.map((lamp) => lamp.slice(0, 2))).toEqual([0, 1, 2, 3].map(() => PASSED.slice(1)));
  });

  it.each(Object.keys(FAULT_KINDS) as FaultKind[])(
    'with the fault "%s" turns out differently, keeps every invariant and gives one result',
    (kind) => {
      const { looks, result } = night([EXAMPLES[kind]]);
      // A flash that keeps what it reports as failed is read back: it changes nothing.
      if (kind === 'denied write') expect(looks).toEqual(fair.looks);
      else expect(looks).not.toEqual((OF_BUS(kind) ? fairOnBus : fair).looks);
      expect([result.end, ...result.lamps[0].slice(0, 2)]).toEqual(SEEN[kind] ?? PASSED);
    },
  );

  it.each(Object.keys(FAULT_KINDS) as FaultKind[])(
    'with the fault "%s" gives the same result in a long run, which skips what changes nothing',
    (kind) => {
      const { result } = night([EXAMPLES[kind]], true);
      expect([result.end, ...result.lamps[0].slice(0, 2)]).toEqual(SEEN[kind] ?? PASSED);
    },
  );

  it('is the same with a fault that begins after it', () => {
    expect(night([{ ...EXAMPLES['dead lamp'], at: HOURS(999), repairedAt: HOURS(1000) }]).looks).toEqual(
      fair.looks,
    );
  });
});
