// One run of a campaign: a random site, a random schedule of faults and orders, and everything that must hold
// checked after every event. The same numbers give the same outcome on every machine.
import { Phase } from '../../firmware/contract/codes';
import { Watch } from '../checkers/watch';
import type { FaultKind } from '../faults';
import { Fleet, type Observer } from '../fleet';
import type { SimulatedController } from '../node';
import { Duties } from './duties';
import { Guard } from './guard';
import { CampaignHost } from './host';
import type { Incident } from './incidents';
import { drawSchedule } from './schedule';
import { type CampaignSite, DAY_MS, drawSite, type RunNumber, START_UTC_MS } from './site';

/** What is left of a run; everything by default. */
export interface Cut {
  /** Numbers of the incidents to keep. */
  keep?: number[];
  /** Names of the circuits to keep. */
  circuits?: string[];
  /** Luminaires to keep per circuit, the first ones. */
  lamps?: number;
  days?: number;
}

export interface RunOutcome {
  /** Simulated ms of all controllers together. */
  controllerMs: number;
  faults: { [kind in FaultKind]?: number };
  violations: string[];
  lost: number;
  duplicated: number;
  openings: number;
  records: number;
  /** Simulated ms at which it ended: early when something broke. */
  endedAt: number;
}

export interface Scene {
  site: CampaignSite;
  incidents: Incident[];
  /** Stops early. */
  isShort: boolean;
}

/** Fewest faults in a run; more for a longer run with more circuits. */
const FAULTS_AT_LEAST = 50;
const FAULTS_PER_CONTROLLER_YEAR = 2;

/**
 * Longer than a test plus the transfer of its last records to the host: a sparing link is silent during a
 * test.
 */
const SETTLE_HOURS = 6;
const HOUR_MS = 3_600_000;

/** Whether a test is under way, from the look on mains to the proven restore. */
function isBusy(node: SimulatedController): boolean {
  const phase = node.controller?.core.phase;
  return phase !== undefined && phase >= Phase.Opening && phase <= Phase.Restoring;
}

/** Site and schedule of a run, cut down as asked. */
export function sceneOf(at: RunNumber, cut: Cut = {}): Scene {
  const site = drawSite(at);
  const years = (site.days / 365) * site.circuits.length;
  const faults = FAULTS_AT_LEAST + Math.floor(FAULTS_PER_CONTROLLER_YEAR * years);
  const incidents = drawSchedule(site, faults);
  return cutScene({ site, incidents, isShort: false }, cut);
}

function cutScene(scene: Scene, cut: Cut): Scene {
  const { keep, circuits: names, lamps } = cut;
  const isKept = (circuit: string) => names === undefined || names.includes(circuit);
  const circuits = scene.site.circuits.filter((c) => isKept(c.spec.circuit));
  for (const { spec, settings } of circuits) {
    spec.neighbours = spec.neighbours.filter(isKept);
    if (lamps === undefined) continue;
    spec.lamps = spec.lamps.slice(0, lamps);
    settings.lamps = settings.lamps.split(';').slice(0, spec.lamps.length).join(';').concat(';');
  }
  const isThere = ({ circuit, fault }: Incident) => {
    const lamps = circuits.find((c) => c.spec.circuit === circuit)?.spec.lamps ?? [];
    const named = [fault && 'luminaire' in fault && fault.luminaire, fault && 'from' in fault && fault.from];
    return named.every((id) => !id || lamps.some((lamp) => lamp.id === id));
  };
  const incidents = scene.incidents.filter(
    (one) => isKept(one.circuit) && (keep === undefined || keep.includes(one.number)) && isThere(one),
  );
  return {
    site: { ...scene.site, circuits, days: cut.days ?? scene.site.days },
    incidents,
    isShort: cut.days !== undefined,
  };
}

/** Ends a run at its first violation. */
class Broken extends Error {}

export class CampaignRun {
  private readonly violations: string[] = [];
  private readonly host: CampaignHost;
  private readonly watch: Watch;
  private readonly guard: Guard;
  private readonly fleet: Fleet;
  private readonly orders: Incident[];

  constructor(private readonly scene: Scene) {
    const { site, incidents } = scene;
    this.orders = incidents.filter(({ order }) => order !== undefined);
    for (const { spec } of site.circuits)
      spec.faults = incidents.flatMap(({ circuit, fault }) =>
        fault && circuit === spec.circuit ? [fault] : [],
      );
    this.host = new CampaignHost(site, (circuit, sentence) => this.breach(circuit, sentence));
    this.guard = new Guard(this.host, (circuit, sentence) => this.breach(circuit, sentence));
    this.watch = new Watch(START_UTC_MS, undefined, this.guard);
    const duties = new Duties(
      incidents,
      (node) => this.watch.openingsOf(node),
      (circuit, sentence) => this.breach(circuit, sentence),
    );
    const stop: Observer = { after: () => this.stopIfBroken() };
    const spec = {
      seed: site.plantSeed,
      startUtcMs: START_UTC_MS,
      controllers: site.circuits.map((c) => c.spec),
      link: { keepAliveSec: 0, heartbeatSec: site.heartbeatSec, liveMs: 0 },
      noise: true,
      isSparing: site.isSparing,
    };
    const sink = (topic: string, payload: string) => this.host.accept(topic, payload);
    this.fleet = new Fleet(spec, sink, [this.guard, this.watch, duties, stop]);
    this.host.fleet = this.fleet;
  }

  private breach(circuit: string, sentence: string): void {
    const now = this.fleet?.now ?? 0;
    this.violations.push(`${circuit} at ${new Date(START_UTC_MS + now).toISOString()}: ${sentence}`);
  }

  private stopIfBroken(): void {
    if (this.violations.length + this.watch.violations.length > 0) throw new Broken();
  }

  /** Runs to the end, or to the first violation. */
  run(): RunOutcome {
    const end = this.scene.site.days * DAY_MS;
    let lost = 0;
    try {
      this.runTo(end);
      // A shortened run may end while the network is down.
      if (!this.scene.isShort) lost = this.settleAccounts();
    } catch (error) {
      if (!(error instanceof Broken))
        this.breach('controller', `its program crashed: ${(error as Error).message}`);
    }
    const ended = this.fleet.now;
    return {
      controllerMs: this.fleet.nodes.length * ended,
      faults: this.faultsUntil(ended),
      violations: [...this.watch.violations, ...this.violations],
      lost,
      duplicated: this.host.duplicated,
      openings: this.watch.openings,
      records: this.guard.recordsWritten(),
      endedAt: ended,
    };
  }

  private runTo(end: number): void {
    let next = 0;
    for (;;) {
      const order = this.orders[next];
      const at = Math.min(end, order?.at ?? end, this.host.clearFaults(), this.fleet.now + DAY_MS);
      this.fleet.run(Math.max(at, this.fleet.now));
      this.stopIfBroken();
      if (order && order.at <= this.fleet.now) {
        this.host.give(order);
        next++;
      } else if (this.fleet.now >= end) return;
    }
  }

  /** The network has been back for days: everything written must have arrived. @returns records lost */
  private settleAccounts(): number {
    // The newest records may still be on their way, and a test may be running.
    const written = new Map(this.fleet.nodes.map((node) => [node, this.guard.written(node)]));
    for (let left = SETTLE_HOURS; left > 0; left--) this.fleet.run(this.fleet.now + HOUR_MS);
    for (let left = SETTLE_HOURS; left > 0 && this.fleet.nodes.some(isBusy); left--)
      this.fleet.run(this.fleet.now + HOUR_MS);
    this.stopIfBroken();
    let lost = 0;
    for (const node of this.fleet.nodes) {
      const s = this.host.of(node);
      const missing = this.guard.missing(node, written.get(node) ?? new Map());
      if (missing > 0) this.breach(s.circuit.spec.circuit, `I4 ${missing} records never came`);
      lost += missing;
      const owed = s.openings.owed(this.watch.openingsOf(node));
      if (missing === 0 && owed !== '') this.breach(s.circuit.spec.circuit, owed);
    }
    return lost;
  }

  private faultsUntil(ended: number): { [kind in FaultKind]?: number } {
    const counts: { [kind in FaultKind]?: number } = {};
    for (const { fault, at } of this.scene.incidents)
      if (fault && at <= ended) counts[fault.kind] = (counts[fault.kind] ?? 0) + 1;
    return counts;
  }
}
