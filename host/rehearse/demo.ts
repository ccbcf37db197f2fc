// `npm start`: the whole job on one screen. Some weeks run fast into the log book, then broker, host, page
// and simulated controllers continue together at a pace a person can follow.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Phase, TestKind } from '../../firmware/contract/codes';
import { LiveFleet } from '../../simulator/live';
import { keepSeededKeys, secretFileOf, seededKeys } from '../keys';
import { openLogbook } from '../logbook/engines/open';
import type { Plan, Slot } from '../planner/plan/plan';
import { type Served, type ServeOptions, serve } from '../serve/serve';
import type { Site } from '../site/model';
import { Rehearsal } from './rehearsal';
import { enterWalks } from './walks';

const DAY_MS = 86400000;
/** Simulated time from opening the page to the first test of that night, s. */
const LEAD_SEC = 60;
/** Simulated time between two reports of a controller, at the fastest pace, with margin, s. */
const HEARTBEAT_SEC = 6 * 3600;
/** Nights searched for one on which a planted fault will show: every circuit has a function test in them. */
const LOOK_NIGHTS = 31;

/** With what other systems get from it, as with `serve`. */
export interface DemoOptions extends Pick<ServeOptions, 'brokerPort' | 'alerts' | 'metrics' | 'modbus'> {
  site: Site;
  siteFile: string;
  seed: number;
  port: number;
  /** Address the page is served on, as with `serve`; this machine only by default. */
  host?: string;
  /** File of the certificates of a page on a network, kept beyond the end; by default deleted with the log book. */
  tlsFile?: string;
  /** A fixed pace, or one of the caller's, instead of the varying one; above 0. */
  pace?: number | (() => number);
  /** Weeks to run fast; the site's own number by default. */
  historyDays?: number;
  quiet?: boolean;
}

export interface Demo {
  served: Served;
  rehearsal: Rehearsal;
  /** File of its log book. */
  db: string;
  stop(): Promise<void>;
}

/**
 * Circuits with a luminaire whose fault has begun by then; a function test shows a dead lamp but not a weak
 * battery.
 */
function troubled(site: Site, day: number, kind: TestKind): Set<string> {
  const lamps = new Set<string>();
  for (const fault of site.simulation.faults) {
    if (!('luminaire' in fault) || fault.kind === 'sensor drift' || fault.fromDay >= day) continue;
    if (fault.kind === 'dead lamp' || kind !== TestKind.Brief) lamps.add(fault.luminaire);
  }
  const hit = site.circuits.filter((c) => c.luminaires.some((lamp) => lamps.has(lamp.id)));
  return new Set(hit.map((circuit) => circuit.id));
}

/** Starts of the first slots of every test after `from`, in order. */
function firstSlots(plan: Plan, from: number): (Slot & { circuit: string })[] {
  const found: (Slot & { circuit: string })[] = [];
  for (const { circuit, slots } of plan.circuits) {
    const seen = new Set<number>();
    for (const slot of slots) {
      if (!seen.has(slot.test) && slot.start > from) found.push({ ...slot, circuit });
      seen.add(slot.test);
    }
  }
  return found.sort((a, b) => a.start - b.start);
}

/** UTC second at which to open the page: just before a night on which a fault will be found. */
function curtainUtc(site: Site, plan: Plan, fromUtc: number, day: number): number {
  const slots = firstSlots(plan, fromUtc);
  const [brief, long] = [TestKind.Brief, TestKind.Full].map((kind) => troubled(site, day, kind));
  const limit = fromUtc + LOOK_NIGHTS * 86400;
  const willShow = ({ circuit, kind, start }: (typeof slots)[0]): boolean =>
    start < limit && (kind === TestKind.Brief ? brief : long).has(circuit);
  const telling = slots.find(willShow) ?? slots[0];
  if (!telling) return fromUtc;
  const night = slots.filter((slot) => Math.abs(slot.start - telling.start) < 43200);
  return night[0].start - LEAD_SEC;
}

function say(line: string): void {
  process.stdout.write(`${line}\n`);
}

/** Prints, in simulated local time, what the controllers do. */
function narrator(site: Site, rehearsal: Rehearsal): () => void {
  const words: Partial<Record<Phase, string>> = {
    [Phase.Brief]: 'function test: supply cut, luminaires on battery',
    [Phase.Full]: 'duration test: supply cut, luminaires on battery',
    [Phase.Restoring]: 'restoring the supply',
    [Phase.Fault]: 'tester fault: see the page',
    [Phase.Outage]: 'mains outage',
  };
  const seen = new Map<string, Phase>();
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone: site.timeZone,
    dateStyle: 'medium',
    timeStyle: 'medium',
  });
  return () => {
    for (const node of rehearsal.fleet.nodes) {
      const phase = node.controller?.core.phase;
      if (phase === undefined || phase === seen.get(node.spec.circuit)) continue;
      seen.set(node.spec.circuit, phase);
      const text = words[phase];
      if (text) say(`  ${format.format(rehearsal.fleet.utcMs())}  ${node.spec.circuit.padEnd(10)} ${text}`);
    }
  };
}

/** Runs the site fast into a fresh log book, up to the evening on which the page opens. */
async function runAhead(o: DemoOptions, db: string): Promise<Rehearsal> {
  const logbook = await openLogbook(db);
  const keys = seededKeys(o.seed);
  // Reports are made by a process of their own, which reads it.
  keepSeededKeys(secretFileOf(db), o.seed);
  const days = o.historyDays ?? o.site.simulation.historyDays;
  // People and outages are drawn for a year beyond the history, longer than anyone will watch.
  const rehearsal = await Rehearsal.start({ site: o.site, seed: o.seed, days: days + 400, keys, logbook });
  await rehearsal.runDays(days);
  const plan = rehearsal.desired.plan()!.plan;
  const curtain = curtainUtc(o.site, plan, rehearsal.fleet.utcMs() / 1000, days);
  const until = curtain * 1000 - rehearsal.fleet.spec.startUtcMs;
  while (rehearsal.fleet.now + DAY_MS < until) await rehearsal.run(rehearsal.fleet.now + DAY_MS);
  await rehearsal.run(until);
  await enterWalks(logbook, keys, {
    site: o.site,
    from: rehearsal.fleet.spec.startUtcMs / 1000,
    until: curtain,
  });
  await logbook.close();
  return rehearsal;
}

/** Starts the demonstration; `stop` ends all its parts and removes its log book. */
export async function startDemo(o: DemoOptions): Promise<Demo> {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-'));
  const db = join(folder, 'demo.db');
  const remove = () => rmSync(folder, { recursive: true, force: true });
  try {
    const rehearsal = await runAhead(o, db);
    let live: LiveFleet | undefined;
    const { seed, pace, historyDays, quiet, ...place } = o;
    const served = await serve({
      ...place,
      db,
      clock: { nowMs: () => rehearsal.fleet.utcMs() },
      simulated: true,
      heartbeatSec: HEARTBEAT_SEC,
      speed: () => live?.pace() ?? 1,
      keys: seededKeys(seed),
      quiet: true,
    });
    const broker = { host: '127.0.0.1', port: served.brokerPort };
    const tell = quiet ? undefined : narrator(o.site, rehearsal);
    // Until somebody sees it there is nothing to show: whoever signs in first finds a test about to begin.
    let isHeld = true;
    live = new LiveFleet({
      fleet: rehearsal.fleet,
      broker,
      isHeld: () => {
        isHeld &&= served.awaitsFirst();
        return isHeld;
      },
      ...(pace !== undefined && { pace }),
      ...(tell && { onRound: tell }),
    });
    const running = live;
    const stop = async (): Promise<void> => {
      running.stop();
      await served.stop();
      remove();
    };
    return { served, rehearsal, db, stop };
  } catch (error) {
    remove();
    throw error;
  }
}
