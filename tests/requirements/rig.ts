// One circuit under test for the requirements: the shipped controller on its modelled board, circuit,
// batteries and wire, with a minimal host behind it.
import mqttPacket, { type Packet } from 'mqtt-packet';
import { expect } from 'vitest';
import { Reason, type TestKind, Verdict } from '../../firmware/contract/codes';
import type { ResultRecord } from '../../firmware/contract/messages';
import { isLitOnBattery, type Luminaire } from '../../simulator/plant/luminaire';
import { Estate, type EstateOptions, HOURS, WINDOW, WINDOW_MS } from '../simulator/estate';

// Some of these run through months; a busy machine must not make them fail.

export const DAY_MS = 86_400_000;
export const PASS = [Verdict.Pass, Reason.None];
/** The window of the second night, or of a night `later` days after it. */
export const night = (later = 0): { start: number; end: number } => ({
  start: WINDOW.start + later * 86_400,
  end: WINDOW.end + later * 86_400,
});
/** A row of the plan. */
export const slot = (test: number, kind: TestKind, later = 0): number[] => [
  test,
  kind,
  night(later).start,
  night(later).end,
];

/** A circuit with one test planned for the second night. */
export function circuit(kind: TestKind, more: Partial<EstateOptions> = {}): Estate {
  return new Estate({ slots: [slot(1, kind)], noise: true, ...more });
}

/** Something affects the circuit for `seconds` from `fromMs`: an outage, a turned key, a stop, a visit. */
export function happens(
  e: Estate,
  what: 'outages' | 'keys' | 'stops' | 'visits',
  fromMs: number,
  seconds: number,
): Estate {
  e.node.plant[what].push({ from: fromMs, to: fromMs + seconds * 1000 });
  e.fleet.schedule(e.node);
  return e;
}

/** Runs turn by turn until `holds` is true; throws when it is still false at `untilMs`. */
export function runTo(e: Estate, holds: () => boolean, untilMs: number): Estate {
  while (!holds()) {
    if (e.fleet.now >= untilMs) throw new Error(`Not come true by ${untilMs} ms.`);
    e.run(e.fleet.now + 250);
  }
  return e;
}

/** Runs until the luminaires are on battery in that night's window. */
export function toDark(e: Estate, later = 0): Estate {
  const window = WINDOW_MS + later * DAY_MS;
  if (e.fleet.now < window) e.run(window);
  return runTo(e, () => !e.node.plant.supplied, window + HOURS(5));
}

export const results = (e: Estate): ResultRecord[] => e.of('result') as ResultRecord[];

/** The only result so far; checks that no rule was broken on the way to it. */
export function onlyResult(e: Estate): ResultRecord {
  expect(e.watch.violations).toEqual([]);
  expect(e.refused).toEqual([]);
  expect(results(e)).toHaveLength(1);
  return results(e)[0];
}

export const verdicts = (r: ResultRecord): number[][] => r.lamps.map(([verdict, why]) => [verdict, why]);
/** Every lamp of a void test has this verdict and reason. */
export const allVoid = (r: ResultRecord, why: Reason): number[][] => r.lamps.map(() => [Verdict.Void, why]);

export const lamps = (e: Estate): Luminaire[] => e.node.plant.luminaires;
/**
 * Longest time for which a program that has failed may keep the supply off, s: as long as one that hangs waits
 * for its watchdog (common practice, no source). Deliberately not calculated from the limits under test.
 */
export const LOST_SEC = 5;

/** The controller's loop turns, pulses and talks on, but from now on nothing renews the lease of the coil. */
export function renewsNoLease(e: Estate): Estate {
  const core = e.node.controller!.core;
  let kept = core.leaseUntil;
  const set = (until: number) => {
    kept = Math.min(kept, until);
  };
  Object.defineProperty(core, 'leaseUntil', { get: () => kept, set });
  return e;
}

/** Which lamps are really lit on battery now. */
export const lit = (e: Estate): boolean[] => lamps(e).map((l) => isLitOnBattery(l, e.fleet.now));

/** The board restarts: its power dipped, or its watchdog reset it. */
export function restart(e: Estate, cause = 0): Estate {
  e.node.powerOff();
  e.node.bootCause = cause;
  e.node.boot();
  e.fleet.schedule(e.node);
  return e;
}

/** Monotonic ms at which the luminaires lost and regained their supply, according to the plant. */
export function supplyEdges(e: Estate, untilMs: number): { at: number; supplied: boolean }[] {
  const edges: { at: number; supplied: boolean }[] = [];
  let before = e.node.plant.supplied;
  while (e.fleet.now < untilMs) {
    e.run(Math.min(untilMs, e.fleet.now + 250));
    const { supplied, suppliedChangedAt } = e.node.plant;
    if (supplied !== before) edges.push({ at: suppliedChangedAt, supplied });
    before = supplied;
  }
  return edges;
}

/** What the controller sends from now on, as a broker reads it. */
export function sentPackets(e: Estate): Packet[] {
  const packets: Packet[] = [];
  const parser = mqttPacket.parser({ protocolVersion: 4 });
  parser.on('packet', (packet: Packet) => packets.push(packet));
  const { net } = e.node;
  const write = net.write.bind(net);
  net.write = (bytes: string) => {
    parser.parse(Buffer.from(bytes, 'latin1'));
    write(bytes);
  };
  return packets;
}
